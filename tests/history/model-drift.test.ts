import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { modelRate, pooledRate } from "../../src/history/model-drift.ts";
import { unitHistories } from "../../src/history/unit-history.ts";
import { studentTQuantile } from "../../src/uncertainty/statistics/student-t.ts";
import { every, factOf, historyOf } from "./facts.ts";

const frozen = JSON.parse(readFileSync(new URL("../published/prediction-from-r.json", import.meta.url), "utf8")) as {
  readonly pooled: {
    readonly groups: readonly (readonly number[])[];
    readonly mean: number;
    readonly interval: readonly [number, number];
    readonly between_units: number;
    readonly within_units: number;
  };
};

describe("drift pooled over a model", () => {
  it("one-way random effects as R 4.2.2: anova of lm, and t.test of the unit means", () => {
    const { groups, mean, interval, between_units, within_units } = frozen.pooled;
    const got = pooledRate(groups, "zero error", 0.95, studentTQuantile);
    if (got === null) throw new Error("nothing pooled");
    expect(got.mean).toBeCloseTo(mean, 13);
    expect(got.mean - got.half_width).toBeCloseTo(interval[0], 12);
    expect(got.mean + got.half_width).toBeCloseTo(interval[1], 12);
    expect(got.between_units).toBeCloseTo(between_units, 13);
    expect(got.within_units).toBeCloseTo(within_units, 13);
    expect(got).toMatchObject({ units: 3, rates: 9 });
  });

  it("takes as found less as left before, by the time between, and needs two units", () => {
    const first = historyOf(
      { date: "2025-01-01", found: [0.1, 0.1] },
      { date: "2026-01-01", found: [0.3, 0.3], left: [0, 0] },
      { date: "2027-01-01", found: [0.2, 0.2] },
    );
    expect(modelRate([first], "zero error", 0.95, studentTQuantile)).toBeNull();
    const others = unitHistories(every(12, [0, 0.4, 0.8], "KV-2").map(factOf));
    const rate = modelRate([first, ...others], "span error", 0.95, studentTQuantile);
    expect(rate?.mean).toBeCloseTo(0.2, 2);
    expect(modelRate([first, ...others], "zero error", 0.95, studentTQuantile)?.mean).toBeCloseTo(0.1, 3);
  });

  it("takes no rate from runs a few days apart", () => {
    const short = historyOf({ date: "2025-01-01", found: [0, 0] }, { date: "2025-01-05", found: [0.1, 0.1] });
    const long = unitHistories(every(12, [0, 0.4], "KV-2").map(factOf));
    expect(modelRate([short, ...long], "zero error", 0.95, studentTQuantile)).toBeNull();
  });
});
