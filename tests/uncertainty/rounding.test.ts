import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { roundToPlace, roundUncertainty } from "../../src/uncertainty/rounding.ts";

describe("rounding an uncertainty", () => {
  it.each([
    [0.2149, 2, "0.21", -2],
    [0.0996, 2, "0.10", -2],
    [0.00035, 2, "0.00035", -5],
    [0.5, 2, "0.50", -2],
    [3, 2, "3.0", -1],
    [28.05, 2, "28", 0],
    [1234, 2, "1200", 2],
    [99.7, 2, "100", 1],
    [0.125, 2, "0.12", -2],
    [0.135, 2, "0.14", -2],
    [2.5e-9, 1, "0.000000003", -9],
    [0.015, 1, "0.02", -2],
    [0.96, 1, "1", 0],
    // EA-4/02 (from memory): not lowered by more than 5 %.
    [1.4, 1, "2", 0],
    [1.04, 1, "1", 0],
    [1.049, 2, "1.0", -1],
  ] as const)("%d with %d digits is %s", (u, digits, text, place) => {
    expect(roundUncertainty(u, digits)).toEqual({ text, place });
  });

  it("follows JCGM 100:2008, 7.2.6: 10.47 may go up to 11, 28.05 stays 28", () => {
    expect(roundUncertainty(10.47).text).toBe("10");
    expect(roundUncertainty(10.47, 2, 0.01).text).toBe("11");
    expect(roundUncertainty(28.05, 2, 0.01).text).toBe("28");
  });

  it("is never lower than 95 % of what went in, and never above by more than the last digit", () => {
    fc.assert(
      fc.property(fc.double({ min: 1e-9, max: 1e9, noNaN: true }), fc.constantFrom(1, 2), (u, digits) => {
        const { text, place } = roundUncertainty(u, digits as 1 | 2);
        expect(Number(text)).toBeGreaterThanOrEqual(0.95 * u * (1 - 1e-12));
        expect(Number(text) - u).toBeLessThanOrEqual(10 ** place);
        expect(text.replace(/^[0.]+|\.|e.*$/gu, "").length).toBeGreaterThanOrEqual(1);
      }),
    );
  });

  it.each([0, -1, Number.NaN, Number.POSITIVE_INFINITY])("refuses %d", (u) => {
    expect(() => roundUncertainty(u)).toThrow(RangeError);
  });
});

describe("rounding a value to a place", () => {
  it.each([
    [10.05762, -3, "10.058"], // JCGM 100:2008, 7.2.6
    [1.005, -2, "1.00"],
    [1.015, -2, "1.02"],
    [0.015, -2, "0.02"],
    [0.025, -2, "0.02"],
    [100.145, -2, "100.14"], // JCGM 100:2008, 4.4.3 prints the mean so
    [-0.004, -2, "0.00"],
    [-0.006, -2, "-0.01"],
    [0, -3, "0.000"],
    [-0, -1, "0.0"],
    [12.3, -2, "12.30"],
    [12345, 2, "12300"],
    [49, 2, "0"],
    [51, 2, "100"],
    [1e-12, -3, "0.000"],
    [1.5e21, 20, "1500000000000000000000"],
  ])("%d at 10^%d is %s", (value, place, text) => {
    expect(roundToPlace(value, place)).toBe(text);
  });

  it("is odd in its argument, and within half a step", () => {
    fc.assert(
      fc.property(fc.double({ min: 1e-9, max: 1e6, noNaN: true }), fc.integer({ min: -6, max: 2 }), (value, place) => {
        const text = roundToPlace(value, place);
        expect(Math.abs(Number(text) - value)).toBeLessThanOrEqual(0.5000001 * 10 ** place);
        expect(roundToPlace(-value, place)).toBe(Number(text) === 0 ? text : `-${text}`);
      }),
    );
  });
});
