import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { ORDERS, REGISTERS_OF, type RegisterField } from "../../../drivers/profiles/register-profile.schema.ts";
import { readGroups } from "../../../drivers/registers/read-groups.ts";
import { decodeNumber, decodeText, encodeNumber, lengthOf } from "../../../drivers/registers/register-value.ts";

const field = (more: Partial<RegisterField> & Pick<RegisterField, "type">): RegisterField => ({
  table: "holding",
  address: 0,
  order: "ABCD",
  scale: 1,
  offset: 0,
  ...more,
});

const order = fc.constantFrom(...ORDERS);

describe("numbers in registers", () => {
  it("comes back as it went in, for every type and order", () => {
    const cases = fc.oneof(
      fc.record({ type: fc.constant("uint16" as const), value: fc.integer({ min: 0, max: 65535 }) }),
      fc.record({ type: fc.constant("int16" as const), value: fc.integer({ min: -32768, max: 32767 }) }),
      fc.record({ type: fc.constant("uint32" as const), value: fc.integer({ min: 0, max: 4294967295 }) }),
      fc.record({ type: fc.constant("int32" as const), value: fc.integer({ min: -2147483648, max: 2147483647 }) }),
      fc.record({ type: fc.constant("float32" as const), value: fc.float({ noNaN: true, noDefaultInfinity: true }) }),
      fc.record({ type: fc.constant("float64" as const), value: fc.double({ noNaN: true, noDefaultInfinity: true }) }),
    );
    fc.assert(
      fc.property(cases, order, ({ type, value }, word) => {
        const f = field({ type, order: word });
        const encoded = encodeNumber(value, f) ?? [];
        expect(encoded).toHaveLength(lengthOf(f));
        expect(Object.is(decodeNumber(encoded, f), value)).toBe(true);
      }),
    );
  });

  it("has the bytes in the order that the letters say", () => {
    // 0x42CAA666 is 101.325 as a 32-bit float; IEEE 754.
    const at = (word: RegisterField["order"]) => encodeNumber(101.325, field({ type: "float32", order: word }));
    expect(at("ABCD")).toEqual([0x42ca, 0xa666]);
    expect(at("CDAB")).toEqual([0xa666, 0x42ca]);
    expect(at("BADC")).toEqual([0xca42, 0x66a6]);
    expect(at("DCBA")).toEqual([0x66a6, 0xca42]);
  });

  it("scales and shifts both ways", () => {
    const tenths = field({ type: "int16", scale: 0.1, offset: -5 });
    expect(encodeNumber(-6, tenths)).toEqual([0xfff6]);
    expect(decodeNumber([0xfff6], tenths)).toBeCloseTo(-6, 12);
  });

  it("refuses what the type cannot hold", () => {
    expect(encodeNumber(65536, field({ type: "uint16" }))).toBeNull();
    expect(encodeNumber(-1, field({ type: "uint32" }))).toBeNull();
    expect(encodeNumber(1e39, field({ type: "float32" }))).toBeNull();
    expect(encodeNumber(Number.NaN, field({ type: "float32" }))).toBeNull();
  });

  it("reads text up to the first NUL, without blanks at its ends, swapped where the bytes are swapped", () => {
    expect(decodeText([0x4142, 0x4320, 0x0000, 0x5858], "ABCD")).toBe("ABC");
    expect(decodeText([0x4241, 0x2043], "BADC")).toBe("ABC");
    expect(decodeText([0x4142, 0x4344], "CDAB")).toBe("ABCD");
  });
});

describe("reading neighbours together", () => {
  it("asks once for what lies side by side, and never for what the map does not name", () => {
    const groups = readGroups({
      pressure: field({ type: "float32", table: "input", address: 0 }),
      status: field({ type: "uint16", table: "input", address: 2 }),
      count: field({ type: "uint16", table: "input", address: 3 }),
      beyond: field({ type: "uint16", table: "input", address: 5 }),
      other: field({ type: "uint16", table: "holding", address: 4 }),
      output: field({ type: "bool", table: "coil", address: 0 }),
    });
    expect(groups.map(({ table, address, count, names }) => [table, address, count, names.join()])).toEqual([
      ["coil", 0, 1, "output"],
      ["holding", 4, 1, "other"],
      ["input", 0, 4, "pressure,status,count"],
      ["input", 5, 1, "beyond"],
    ]);
  });

  it("covers every field exactly, within what one request may ask", () => {
    const fields = fc.dictionary(
      fc.stringMatching(/^[a-z]{1,6}$/u),
      fc.record({
        table: fc.constantFrom("holding" as const, "input" as const),
        address: fc.integer({ min: 0, max: 400 }),
        type: fc.constantFrom("uint16" as const, "float32" as const, "float64" as const),
      }),
    );
    fc.assert(
      fc.property(fields, (drawn) => {
        const map = Object.fromEntries(Object.entries(drawn).map(([name, each]) => [name, field(each)]));
        const groups = readGroups(map);
        expect(groups.flatMap(({ names }) => names).sort()).toEqual(Object.keys(map).sort());
        for (const group of groups) {
          expect(group.count).toBeLessThanOrEqual(125);
          const named = new Set<number>();
          for (const name of group.names) {
            const each = map[name];
            if (each === undefined) continue;
            expect(each.table).toBe(group.table);
            for (let at = 0; at < (REGISTERS_OF[each.type] ?? 0); at += 1) named.add(each.address + at);
          }
          for (let at = group.address; at < group.address + group.count; at += 1) expect(named.has(at)).toBe(true);
        }
      }),
    );
  });
});
