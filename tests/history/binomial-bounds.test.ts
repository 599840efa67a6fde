import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { binomialBounds } from "../../src/history/binomial-bounds.ts";

const frozen = JSON.parse(readFileSync(new URL("../published/prediction-from-r.json", import.meta.url), "utf8")) as {
  readonly binomial: readonly (readonly [number, number, number, number])[];
};

describe("interval of a share (Clopper and Pearson)", () => {
  it.each(frozen.binomial)("%i of %i: as R 4.2.2, binom.test", (good, all, lower, upper) => {
    const got = binomialBounds(good, all, 0.95);
    expect(got.lower).toBeCloseTo(lower, 12);
    expect(got.upper).toBeCloseTo(upper, 12);
  });

  it("holds the share, mirrors, and narrows with more of the same", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 300 }), fc.double({ min: 0, max: 1, noNaN: true }), (all, share) => {
        const good = Math.round(all * share);
        const { lower, upper } = binomialBounds(good, all, 0.95);
        expect(lower).toBeLessThanOrEqual(good / all);
        expect(upper).toBeGreaterThanOrEqual(good / all);
        const mirrored = binomialBounds(all - good, all, 0.95);
        expect(mirrored.lower).toBeCloseTo(1 - upper, 10);
        const more = binomialBounds(2 * good, 2 * all, 0.95);
        expect(more.upper - more.lower).toBeLessThanOrEqual(upper - lower + 1e-12);
      }),
    );
  });
});
