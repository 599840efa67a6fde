import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { METHODS } from "../../../src/history/methods/proposal.ts";
import { decreaseFor, settlingReliability } from "../../../src/history/methods/simple-response.ts";
import { countOn } from "../../../src/history/methods/time-in-use.ts";
import { unitHistories } from "../../../src/history/unit-history.ts";
import { every, factOf, historyOf, SETTINGS, type Told } from "../facts.ts";
import { proposals } from "./proposals.ts";

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
