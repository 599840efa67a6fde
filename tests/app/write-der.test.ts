import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { derChildren, objectIdentifier, readDer } from "../../src/app/read-der.ts";
import { der, derOid, derSet, derTime } from "../../src/app/write-der.ts";

const hex = (bytes: Uint8Array): string => Buffer.from(bytes).toString("hex");

describe("DER as written", () => {
  it("object identifiers: the example of ITU-T X.690, 8.19.5, and the arcs of RSA (RFC 8017, A.1)", () => {
    expect(hex(derOid("2.999.3"))).toBe("0603883703");
    expect(hex(derOid("1.2.840.113549.1.1.1"))).toBe("06092a864886f70d010101");
  });

  it("times: two digits of the year up to 2049, four after it (RFC 5652, 11.3)", () => {
    expect(hex(derTime(Date.UTC(2049, 11, 31, 23, 59, 59)))).toBe(`170d${hex(Buffer.from("491231235959Z"))}`);
    expect(hex(derTime(Date.UTC(2050, 0, 1)))).toBe(`180f${hex(Buffer.from("20500101000000Z"))}`);
  });

  it("sets are in the order of their bytes (X.690, 11.6)", () => {
    expect(hex(derSet(0x31, [Buffer.from([5, 1, 2]), Buffer.from([4, 1, 9])]))).toBe("3106040109050102");
  });

  it("what is written is read back, whatever its length", () => {
    fc.assert(
      fc.property(fc.array(fc.uint8Array({ maxLength: 300 }), { maxLength: 4 }), (contents) => {
        const read = readDer(der(0x30, ...contents.map((content) => der(0x04, content))));
        expect(read === null ? null : derChildren(read).map((child) => hex(child.content))).toEqual(contents.map(hex));
      }),
    );
  });

  it("object identifiers are read back", () => {
    const arcs = fc.tuple(
      fc.constantFrom(0, 1),
      fc.integer({ min: 0, max: 39 }),
      fc.array(fc.nat(2 ** 31 - 1), { maxLength: 6 }),
    );
    fc.assert(
      fc.property(arcs, ([first, second, rest]) => {
        const text = [first, second, ...rest].join(".");
        const read = readDer(derOid(text));
        expect(read === null ? "" : objectIdentifier(read)).toBe(text);
      }),
    );
  });
});
