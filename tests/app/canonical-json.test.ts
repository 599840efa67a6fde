import { generateKeyPairSync, verify } from "node:crypto";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { canonicalJson } from "../../src/app/canonical-json.ts";
import { chainLinker, EMPTY_HEAD, leafHash, nextHead, nodeHash, recordHead } from "../../src/app/hash-chain.ts";
import { bytesSignedBy, signatureHolds } from "../../src/app/sign-certificate.ts";

describe("canonical bytes", () => {
  it("R99: keys by UTF-16 units, no blanks, and the same text whatever the order of the keys", () => {
    // RFC 8785, 3.2.3: the keys of its sorting example, in the order it gives.
    const keys = ["\u20ac", "\r", "\ufb33", "1", "\u{1f600}", "\u0080", "\u00f6"];
    const sorted = ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\u{1f600}", "\ufb33"];
    const text = canonicalJson(Object.fromEntries(keys.map((k) => [k, 0])));
    expect(Object.keys(JSON.parse(text) as object).filter((k) => k !== "1")).toEqual(sorted.filter((k) => k !== "1"));
    expect(text.indexOf("\u{1f600}")).toBeLessThan(text.indexOf("\ufb33"));
    fc.assert(
      fc.property(
        fc.dictionary(fc.string({ unit: "grapheme" }), fc.jsonValue(), { noNullPrototype: true }),
        (value) => {
          const turned = Object.fromEntries(Object.entries(value).reverse());
          expect(canonicalJson(turned)).toBe(canonicalJson(value));
          expect(JSON.parse(canonicalJson(value))).toEqual(JSON.parse(JSON.stringify(value)));
        },
      ),
    );
  });

  it("R99: what JSON would bend is refused", () => {
    for (const value of [
      Number.NaN,
      Number.POSITIVE_INFINITY,
      1n,
      undefined,
      { a: undefined },
      new Date(0),
      "\ud800",
    ]) {
      expect(() => canonicalJson(value)).toThrow(TypeError);
    }
    expect(canonicalJson(-0)).toBe("0");
  });

  it("R100: numbers of the published example", () => {
    // RFC 8785, 3.2.2.
    const { numbers } = JSON.parse('{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001]}') as {
      numbers: number[];
    };
    expect(canonicalJson(numbers)).toBe("[333333333.3333333,1e+30,4.5,0.002,1e-27]");
  });
});

describe("numbers of RFC 8785, appendix B", () => {
  // Bits of an IEEE 754 double and its text. Values from memory; ECMAScript's own number-to-text is their definition.
  it.each([
    ["0000000000000000", "0"],
    ["8000000000000000", "0"],
    ["0000000000000001", "5e-324"],
    ["8000000000000001", "-5e-324"],
    ["7fefffffffffffff", "1.7976931348623157e+308"],
    ["ffefffffffffffff", "-1.7976931348623157e+308"],
    ["4340000000000000", "9007199254740992"],
    ["c340000000000000", "-9007199254740992"],
    ["4430000000000000", "295147905179352830000"],
    ["44b52d02c7e14af5", "9.999999999999997e+22"],
    ["44b52d02c7e14af6", "1e+23"],
    ["44b52d02c7e14af7", "1.0000000000000001e+23"],
    ["444b1ae4d6e2ef4e", "999999999999999700000"],
    ["444b1ae4d6e2ef4f", "999999999999999900000"],
    ["444b1ae4d6e2ef50", "1e+21"],
    ["3eb0c6f7a0b5ed8c", "9.999999999999997e-7"],
    ["3eb0c6f7a0b5ed8d", "0.000001"],
    ["41b3de4355555553", "333333333.3333332"],
    ["41b3de4355555554", "333333333.33333325"],
    ["41b3de4355555555", "333333333.3333333"],
    ["41b3de4355555556", "333333333.3333334"],
    ["41b3de4355555557", "333333333.33333343"],
    ["becbf647612f3696", "-0.0000033333333333333333"],
    ["43143ff3c1cb0959", "1424953923781206.2"],
  ])("%s is %s", (bits, text) => {
    expect(canonicalJson(Buffer.from(bits, "hex").readDoubleBE())).toBe(text);
  });

  it("what is no number is refused", () => {
    for (const bits of ["7fffffffffffffff", "7ff0000000000000"]) {
      expect(() => canonicalJson(Buffer.from(bits, "hex").readDoubleBE())).toThrow(TypeError);
    }
  });
});

describe("Ed25519, RFC 8032, 7.1, tests 2 and 3", () => {
  it.each([
    [
      "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
      "72",
      "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
    ],
    [
      "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
      "af82",
      "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
    ],
  ])("the key %s signed %s", (public_key, message, signature) => {
    expect(bytesSignedBy(Buffer.from(message, "hex"), public_key, signature)).toBe(true);
    expect(bytesSignedBy(Buffer.from(`${message}00`, "hex"), public_key, signature)).toBe(false);
    expect(bytesSignedBy(Buffer.from(message, "hex"), public_key, signature.replace(/^../u, "00"))).toBe(false);
  });
});

it("a chain that is linked in memory used again is the same chain", () => {
  const link = chainLinker();
  fc.assert(
    fc.property(fc.array(fc.string({ unit: "grapheme" }), { maxLength: 20 }), (entries) => {
      const bytes = (entry: string) => Buffer.concat([Buffer.of(0), Buffer.from(entry, "utf8")]);
      expect(entries.reduce((head, entry) => link(head, bytes(entry)), EMPTY_HEAD)).toBe(
        entries.reduce(nextHead, EMPTY_HEAD),
      );
    }),
  );
});

describe("chain of hashes", () => {
  it("R101: leaves and nodes give the published digests", () => {
    // RFC 6962, 2.1, by its definition; recomputed.
    expect(EMPTY_HEAD).toBe("e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    expect(leafHash("")).toBe("6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d");
    expect(leafHash(Uint8Array.of(0))).toBe("96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7");
    expect(nodeHash(leafHash(""), leafHash(Uint8Array.of(0)))).toBe(
      "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    );
  });

  it("R102: the head of a record tells every change of a line, and no other text has it", () => {
    const record = "a\nb\nc\n";
    const head = recordHead(record);
    for (const other of ["a\nb\n", "a\nc\nb\n", "a\nb\nb\nc\n", "a\nb\nd\n", "ab\nc\n"]) {
      expect(recordHead(other)).not.toBe(head);
    }
    expect(recordHead("a\nb\nc\nbroken o")).toBe(head);
    expect(nextHead(recordHead("a\nb\n"), "c")).toBe(head);
  });
});

describe("signature", () => {
  it("R103: the published key, message and signature agree with the program used", () => {
    // RFC 8032, 7.1, test 1: an empty message.
    const publicKey = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a";
    const signature =
      "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b";
    const spki = Buffer.from(`302a300506032b6570032100${publicKey}`, "hex");
    const key = { key: spki, format: "der", type: "spki" } as const;
    expect(verify(null, Buffer.alloc(0), key, Buffer.from(signature, "hex"))).toBe(true);
    expect(verify(null, Buffer.from("x"), key, Buffer.from(signature, "hex"))).toBe(false);
  });

  it("R103: a signature that is no signature does not hold, and nothing throws", () => {
    const { publicKey } = generateKeyPairSync("ed25519");
    const public_key = publicKey.export({ format: "der", type: "spki" }).subarray(12).toString("hex");
    const signed = {
      format: "stillpoint-signature 1" as const,
      number: "TK-1",
      xml_sha256: EMPTY_HEAD,
      record_head: EMPTY_HEAD,
      ledger_head: EMPTY_HEAD,
      laboratory: "Valve Workshop",
      authorised_by: "C. Head",
      utc: "2031-03-05T09:00:00Z",
    };
    const base = { signed, algorithm: "Ed25519" as const, signature: "00".repeat(64) };
    expect(signatureHolds({ ...base, public_key })).toBe(false);
    expect(signatureHolds({ ...base, public_key: "zz" })).toBe(false);
  });
});
