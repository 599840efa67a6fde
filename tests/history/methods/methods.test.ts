import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { addMonths } from "../../../src/history/calendar-days.ts";
import {
  carriedMonths,
  type IntervalSettings,
  lessonsOf,
  METHODS,
  type MethodId,
  monthsUntil,
  type Proposal,
} from "../../../src/history/methods/proposal.ts";
import { proposeIntervals } from "../../../src/history/methods/propose-intervals.ts";
import { modelReliability, rateFromShare, timeForTarget } from "../../../src/history/methods/reliability.ts";
import { decreaseFor, settlingReliability } from "../../../src/history/methods/simple-response.ts";
import { countOn } from "../../../src/history/methods/time-in-use.ts";
import { unitDrift } from "../../../src/history/unit-drift.ts";
import { type UnitHistory, unitHistories } from "../../../src/history/unit-history.ts";
import { every, factOf, historyOf, SETTINGS, type Told } from "../facts.ts";

const proposals = (
  history: UnitHistory,
  settings: IntervalSettings = SETTINGS,
  model: readonly UnitHistory[] = [history],
): Readonly<Record<MethodId, Proposal>> =>
  Object.fromEntries(
    proposeIntervals(
      {
        history,
        drift: unitDrift(history, settings.confidence, settings.studentT),
        model: modelReliability(model, settings),
      },
      settings,
    ).map((p) => [p.method, p]),
  ) as Record<MethodId, Proposal>;

const staircaseOf = (months: number, errors: readonly number[]): number | null =>
  proposals(historyOf(...every(months, errors))).staircase.months;

describe("one calibration alone", () => {
  it("has the interval that was begun with, and methods that cannot say yet say why", () => {
    const all = proposals(historyOf(...every(6, [0.1])));
    expect(METHODS.map((m) => all[m].months)).toEqual([6, 6, null, null, 6, null]);
    expect(all.fixed).toMatchObject({ next_due: "2024-07-15", source: "common practice, no source" });
    for (const m of METHODS) expect((all[m].refused === null) === (all[m].months !== null), m).toBe(true);
    for (const m of METHODS) {
      expect(all[m].source.length, m).toBeGreaterThan(10);
      expect(all[m].would_change.length, m).toBeGreaterThan(10);
    }
  });
});

describe("staircase: limit 0.5, up to 80 % of it a quarter longer, outside half", () => {
  it.each<[string, readonly number[], number]>([
    ["well inside once", [0, 0.4], 7],
    ["inside, but near the limit", [0, 0.41], 6],
    ["on the limit", [0, 0.5], 6],
    ["outside", [0, 0.51], 3],
    ["inside on either side", [0, -0.4], 7],
  ])("%s", (_, errors, months) => expect(staircaseOf(6, errors)).toBe(months));

  it("earns nothing from a month, and takes no blame for two years", () => {
    expect(staircaseOf(1, [0, 0.1])).toBe(6);
    expect(staircaseOf(24, [0, 0.9])).toBe(6);
    expect(staircaseOf(24, [0, 0.1])).toBe(7);
  });

  it("does not count a unit that had been left outside its limits", () => {
    const { staircase } = proposals(historyOf(...every(6, [0.9, 0.9])));
    expect(staircase.months).toBe(6);
    expect(staircase.evidence.join(" ")).toContain("Not counted: 1 of a unit that had been left outside");
  });

  it("counts after an adjustment, and goes back to the beginning after a repair", () => {
    const runs = every(8, [0.1, 0.2, 0.3]);
    const adjusted = runs.map((t): Told => (t.date === "2024-09-15" ? { ...t, found: [0, 0.9], left: [0, 0] } : t));
    // Outside after eight months: half of eight is four; then well inside after eight: a quarter on four.
    expect(proposals(historyOf(...adjusted)).staircase.months).toBe(5);
    const [repaired] = unitHistories(runs.map(factOf), [{ date: "2025-03-01", what: "repaired" }]);
    if (repaired === undefined) throw new Error("no history");
    const { staircase } = proposals(repaired);
    expect(staircase.months).toBe(6);
    expect(staircase.evidence.join(" ")).toContain("After an interruption");
  });
});

describe("simple response (NCSLI RP-1, A1, from memory; figures worked out from the rule)", () => {
  it("shrinks so that it settles where it ought to", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 1, noNaN: true }),
        fc.double({ min: 0.5, max: 0.97, noNaN: true }),
        (a, target) => {
          expect(settlingReliability(a, decreaseFor(a, target))).toBeCloseTo(target, 9);
        },
      ),
    );
  });

  it("one in tolerance is a tenth more, one outside takes 83.65 % away", () => {
    expect(
      proposals(historyOf(...every(12, [0, 0.1])), { ...SETTINGS, start_months: 12 })["simple-response"].months,
    ).toBe(13);
    const down = proposals(historyOf(...every(12, [0, 0.6])), { ...SETTINGS, start_months: 12 })["simple-response"];
    expect(down.months).toBe(Math.floor(12 * (1 - 0.8365) + 0.1));
  });
});

describe("control chart", () => {
  it("is as long as the next result is expected inside, and held back to what was seen", () => {
    const { "control-chart": chart } = proposals(
      historyOf(...every(6, [0.1, 0.105, 0.098, 0.103, 0.1]).map((t) => ({ ...t, U: 0.02 }))),
    );
    expect(chart.months).toBe(9);
    expect(chart.evidence.join(" ")).toContain("held back");
    const { "control-chart": soon } = proposals(historyOf(...every(6, [0.1, 0.17, 0.25, 0.32, 0.4])));
    // R 4.2.2, predict.lm(interval = "prediction"): 2026-08-18 is the last day inside; confint: 0.1442 to 0.1557 a year.
    expect(soon.months).toBe(7);
    expect(soon.evidence.join(" ")).toContain("inside the limits until 2026-08-18");
    expect(soon.evidence.join(" ")).toContain("100 % rising leads: 0.150 ± 0.006");
  });

  it("has no interval when the band already reaches the limit", () => {
    const { "control-chart": chart } = proposals(historyOf(...every(6, [0.1, 0.4, -0.3, 0.45])));
    expect(chart.months).toBeNull();
    expect(chart.refused).toContain("reaches the limit of 0.500 % of span already now");
  });
});

describe("time in use", () => {
  const readings = [
    { date: "2024-01-01", count: 0 },
    { date: "2024-07-15", count: 3000 },
    { date: "2025-01-15", count: 7000 },
  ];

  it("reads the counter between two readings, never beyond them", () => {
    expect(countOn(readings, "2024-07-15")).toBe(3000);
    expect(countOn(readings, "2024-10-15")).toBe(5000);
    expect(countOn(readings, "2023-12-31")).toBeNull();
    expect(countOn(readings, "2025-01-16")).toBeNull();
    expect(countOn([], "2025-01-16")).toBeNull();
  });

  it("steps in hours and says the day at the present use", () => {
    const settings = { ...SETTINGS, in_use: { unit: "hours", readings } };
    const { "time-in-use": used } = proposals(historyOf(...every(6, [0, 0.1, 0.1])), settings);
    expect(used.refused).toBeNull();
    expect(used.evidence.join(" ")).toContain("2 findings: lengthened twice");
    expect(used.next_due).toMatch(/^2025-/u);
    // Twice as many hours a month lately: the same hours are over in half the time.
    const late = readings.map((r) => (r.date === "2025-01-15" ? { ...r, count: 11_000 } : r));
    const faster = proposals(historyOf(...every(6, [0, 0.1, 0.1])), {
      ...SETTINGS,
      in_use: { unit: "hours", readings: late },
    });
    expect((faster["time-in-use"].next_due ?? "") < (used.next_due ?? "")).toBe(true);
  });

  it("refuses without readings, and where the counter was not read", () => {
    const history = historyOf(...every(6, [0, 0.1], "KV-1", "2030-01-01"));
    expect(proposals(history)["time-in-use"].refused).toContain("No readings");
    const settings = { ...SETTINGS, in_use: { unit: "hours", readings } };
    expect(proposals(history, settings)["time-in-use"].refused).toContain("No two calibrations in a row");
  });
});

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

describe("whatever the findings", () => {
  const anyRun = fc.record({
    gap: fc.integer({ min: 1, max: 30 }),
    zero: fc.integer({ min: -700, max: 700 }),
    top: fc.integer({ min: -700, max: 700 }),
    turned: fc.boolean(),
  });
  const anyHistory = fc.array(anyRun, { minLength: 1, maxLength: 9 }).map((runs): readonly Told[] => {
    let months = 0;
    return runs.map(({ gap, zero, top, turned }) => {
      months += gap;
      const date = addMonths("2010-01-31", months);
      return { date, found: [zero / 1000, top / 1000], ...(turned ? { left: [0, 0] as const } : {}) };
    });
  });

  it("no method goes beyond half again the longest time seen through in tolerance, nor below a month", () => {
    fc.assert(
      fc.property(anyHistory, (told) => {
        const history = historyOf(...told);
        const carried = carriedMonths(lessonsOf(history), SETTINGS);
        for (const p of Object.values(proposals(history))) {
          if (p.months === null) continue;
          expect(p.months).toBeGreaterThanOrEqual(1);
          expect(p.months).toBeLessThanOrEqual(carried + 0.1);
          expect(p.next_due).toBe(addMonths(told.at(-1)?.date ?? "", p.months));
        }
      }),
    );
  });

  it("a further finding outside never lengthens what steps by findings", () => {
    fc.assert(
      fc.property(anyHistory, fc.integer({ min: 1, max: 30 }), (told, gap) => {
        const date = addMonths(told.at(-1)?.date ?? "", gap);
        const [before, after] = [historyOf(...told), historyOf(...told, { date, found: [0, 0.9] })].map((h) =>
          proposals(h),
        );
        for (const method of ["staircase", "simple-response"] as const) {
          expect(after?.[method].months ?? 99).toBeLessThanOrEqual(before?.[method].months ?? 0);
        }
      }),
    );
  });

  it("errors and limits in another unit give the same intervals, but for a day at an edge", () => {
    fc.assert(
      fc.property(anyHistory, fc.constantFrom(0.125, 8, 64), (told, factor) => {
        const times = (pair: readonly [number, number]): readonly [number, number] => [
          factor * pair[0],
          factor * pair[1],
        ];
        const scaled = told.map((t) => ({
          ...t,
          found: t.found === null ? null : times(t.found),
          ...(t.left === undefined ? {} : { left: times(t.left) }),
          limit: 0.5 * factor,
        }));
        const [plain, other] = [historyOf(...told), historyOf(...scaled)].map((h) => proposals(h));
        // Factors of two are exact in binary, so nothing is rounded otherwise.
        for (const m of METHODS) expect(other?.[m].months, m).toBe(plain?.[m].months);
      }),
    );
  });
});

describe("whole months", () => {
  it("never run beyond the day", () => {
    expect(monthsUntil("2026-01-31", "2026-02-27")).toBe(0);
    expect(monthsUntil("2026-01-31", "2026-02-28")).toBe(1);
    expect(monthsUntil("2026-01-15", "2027-01-14")).toBe(11);
    expect(monthsUntil("2026-01-15", "2027-01-15")).toBe(12);
    expect(monthsUntil("2026-01-15", "2026-01-15")).toBe(0);
  });
});
