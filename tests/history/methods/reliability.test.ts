import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { rateFromShare, timeForTarget } from "../../../src/history/methods/reliability.ts";
import { type UnitHistory, unitHistories } from "../../../src/history/unit-history.ts";
import { every, factOf, historyOf, SETTINGS } from "../facts.ts";
import { proposals } from "./proposals.ts";

describe("reliability target", () => {
  it("turns a share into a rate and a time, for one time and for many", () => {
    expect(timeForTarget(rateFromShare([12], 0.9), 0.95)).toBeCloseTo(5.842, 3);
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0.5, max: 60, noNaN: true }), { minLength: 1, maxLength: 20 }),
        fc.double({ min: 0.05, max: 0.99, noNaN: true }),
        (times, share) => {
          const rate = rateFromShare(times, share);
          const back = times.reduce((s, t) => s + Math.exp(-rate * t), 0) / times.length;
          expect(back).toBeCloseTo(share, 9);
        },
      ),
    );
    expect(rateFromShare([6, 12], 1)).toBe(0);
    expect(rateFromShare([6, 12], 0)).toBe(Number.POSITIVE_INFINITY);
  });

  /** `good` units found in tolerance after so many months and `bad` found outside. */
  const model = (good: number, bad: number, months = 12): readonly UnitHistory[] =>
    unitHistories(
      Array.from({ length: good + bad }, (_, i) => every(months, [0, i < good ? 0.1 : 0.9], `KV-${1000 + i}`))
        .flat()
        .map(factOf),
    );
  const pooled = (good: number, bad: number, months = 12) => {
    const all = model(good, bad, months);
    const [history] = all;
    if (history === undefined) throw new Error("no history");
    return proposals(history, { ...SETTINGS, start_months: 12 }, all).reliability;
  };

  it("refuses one unit and few findings", () => {
    expect(pooled(5, 1).refused).toContain("6 findings of 6 units");
    const one = historyOf(
      ...every(
        6,
        Array.from({ length: 14 }, () => 0.1),
      ),
    );
    expect(proposals(one).reliability.refused).toContain("13 findings of 1 unit of the model");
  });

  it("keeps the interval while the evidence contradicts neither, 18 of 20", () => {
    const kept = pooled(18, 2);
    expect(kept.months).toBe(12);
    // R 4.2.2: binom.test(18, 20).
    expect(kept.evidence.join(" ")).toContain("90.0 % (68.3 % to 98.8 % at 95 % confidence)");
    // 5.84 of twelve months; the year of these runs has 366 days.
    expect(kept.evidence.join(" ")).toContain("5.85 months");
    expect(pooled(20, 0).months).toBe(12);
  });

  it("shortens when even the upper end is below the target, and lengthens to what the lower end carries", () => {
    expect(pooled(30, 20).months).toBeLessThan(2);
    expect(pooled(0, 12).months).toBe(1);
    // 200 of 200: lower end 0.9817 (0.025^(1/200)); 12 ln 0.95 / ln 0.9817 = 33 months, held back to 18.
    const long = pooled(200, 0);
    expect(long.months).toBe(18);
    expect(long.evidence.join(" ")).toContain("held back to 18.0");
  });
});
