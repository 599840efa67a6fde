import { generateKeyPairSync, verify } from "node:crypto";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { canonicalJson } from "../../src/app/canonical-json.ts";
import { EMPTY_HEAD, leafHash, nextHead, nodeHash, recordHead } from "../../src/app/hash-chain.ts";
import { signatureHolds } from "../../src/app/sign-certificate.ts";

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
