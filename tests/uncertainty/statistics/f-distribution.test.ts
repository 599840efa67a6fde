import { describe, expect, it } from "vitest";
import { fQuantile, fUpperTail } from "../../../src/uncertainty/statistics/f-distribution.ts";

/** Witness: scipy 1.10.1, scipy.stats.f.ppf. The second is printed as 16.26 in the usual tables. */
const SCIPY = [
  [0.95, 18, 20, 2.151124427121829],
  [0.99, 1, 5, 16.25817703983365],
  [0.5, 3, 7, 0.870944253187285],
  [0.001, 10, 2, 0.06708996621203674],
  [0.95, 1, 1, 161.4476387975882],
  [0.999, 200, 3, 123.76958488277266],
] as const;

describe("F distribution", () => {
  it.each(SCIPY)("quantile at %f with %i over %i degrees of freedom", (p, above, below, wanted) => {
    const f = fQuantile(p, above, below);
    expect(Math.abs(f / wanted - 1)).toBeLessThan(1e-10);
    expect(Math.abs(fUpperTail(f, above, below) - (1 - p))).toBeLessThan(1e-12);
  });

  it("ends, and what it is not defined for", () => {
    expect([fQuantile(0, 2, 3), fQuantile(1, 2, 3), fUpperTail(-1, 2, 3)]).toEqual([0, Number.POSITIVE_INFINITY, 1]);
    expect([fQuantile(1.1, 2, 3), fQuantile(0.5, 0, 3), fUpperTail(Number.NaN, 2, 3)].every(Number.isNaN)).toBe(true);
  });
});
