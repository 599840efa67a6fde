import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { addDays, DAYS_PER_YEAR, daysBetween } from "../../src/history/calendar-days.ts";
import { driftSeries, seriesName, stepsOf } from "../../src/history/drift-series.ts";
import { unitDrift } from "../../src/history/unit-drift.ts";
import type { UnitHistory } from "../../src/history/unit-history.ts";
import { studentTQuantile } from "../../src/uncertainty/statistics/student-t.ts";
import { every, historyOf, type Told } from "./facts.ts";

const drifting = (history: UnitHistory, confidence = 0.95) => {
  const drift = unitDrift(history, confidence, studentTQuantile);
  if (drift.kind !== "drift") throw new Error(drift.why);
  return drift;
};

describe("drift from as left to the next as found", () => {
  /** Drifts 0.2 % of span a year at 100 %; set to 0.01 at the second visit and to -0.3 at the fourth. */
  const days = [0, 200, 380, 560, 760];
  const at = (i: number): number => (0.2 * (days[i] ?? 0)) / DAYS_PER_YEAR;
  const first = "2024-03-01";
  const adjusted: readonly Told[] = [
    { date: first, found: [0, 0.05] },
    { date: addDays(first, 200), found: [0, 0.05 + at(1)], left: [0, 0.01] },
    { date: addDays(first, 380), found: [0, 0.01 + at(2) - at(1)] },
    { date: addDays(first, 560), found: [0, 0.01 + at(3) - at(1)], left: [0, -0.3] },
    { date: addDays(first, 760), found: [0, -0.3 + at(4) - at(3)] },
  ];

  it("does not take a turned screw for drift", () => {
    const drift = drifting(historyOf(...adjusted));
    const top = drift.points.find((p) => p.series.nominal_percent === 100);
    expect(top?.per_year).toBeCloseTo(0.2, 12);
    expect(top?.trend.residual_sd).toBeLessThan(1e-12);
    const later = addDays(first, 960);
    expect(top?.at(later).error).toBeCloseTo(-0.3 + (0.2 * 400) / DAYS_PER_YEAR, 12);
  });

  it("names the day on which the line meets the limit, and tells the steps", () => {
    const history = historyOf(...adjusted);
    const top = drifting(history).points.find((p) => p.series.nominal_percent === 100);
    // From -0.3 + 0.2 t to 0.5: four years after the last setting, the first day beyond.
    const leaves = addDays(first, 560 + Math.floor(4 * DAYS_PER_YEAR) + 1);
    expect(top?.expected_leaves).toBe(leaves);
    expect(stepsOf(history, "span_error_percent_span").map((s) => s.days)).toEqual([200, 180, 180, 200]);
    expect(stepsOf(history, "span_error_percent_span")[1]?.change).toBeCloseTo(at(2) - at(1), 12);
  });

  it("the same unit left alone and the unit that was adjusted drift alike", () => {
    const errors = [0.02, 0.11, 0.13, 0.27];
    const alone = drifting(historyOf(...every(6, errors)));
    const told = every(6, errors);
    const moved = told.map((t, i): Told => {
      const found: readonly [number, number] = [t.found?.[0] ?? 0, (t.found?.[1] ?? 0) - (i > 1 ? 0.1 : 0)];
      return i === 1 ? { ...t, left: [0, found[1] - 0.1] } : { ...t, found };
    });
    const set = drifting(historyOf(...moved));
    const [a, b] = [alone, set].map((d) => d.points.find((p) => p.series.nominal_percent === 100));
    expect(b?.trend.slope).toBeCloseTo(a?.trend.slope ?? Number.NaN, 14);
    const day = "2026-06-01";
    expect(b?.at(day).error).toBeCloseTo((a?.at(day).error ?? Number.NaN) - 0.1, 12);
    expect(b?.at(day).next).toBeCloseTo(a?.at(day).next ?? Number.NaN, 12);
  });

  it("skips a point that was at a stop or not read, from there on", () => {
    const cut = historyOf(...every(6, [0.1, 0.2, 0.3, 0.4]));
    const stage = cut.findings[1]?.fact.as_found;
    if (stage === undefined || stage === null) throw new Error("no stage");
    const findings = cut.stretch.map((f, i) =>
      i === 1
        ? {
            ...f,
            fact: { ...f.fact, as_found: { ...stage, points: stage.points.map((p) => ({ ...p, clipped: true })) } },
          }
        : f,
    );
    expect(driftSeries({ ...cut, stretch: findings }).map((s) => s.points.length)).toEqual([2, 2]);
  });
});

describe("what few data allow", () => {
  it.each([
    [1, "one calibration in a row"],
    [2, "2 calibrations in a row"],
  ])("%i: nothing is predicted", (runs, words) => {
    const drift = unitDrift(historyOf(...every(6, [0.1, 0.2].slice(0, runs))), 0.95, studentTQuantile);
    expect(drift).toMatchObject({ kind: "too-few", runs });
    expect(drift.kind === "too-few" && drift.why).toContain(words);
  });

  it("three runs on one day give no line", () => {
    const one = { date: "2026-01-01", found: [0, 0.1] as const };
    const drift = unitDrift(
      historyOf(...[1, 2, 3].map((i) => ({ ...one, more: { run_id: `run ${i}` } }))),
      0.95,
      studentTQuantile,
    );
    expect(drift.kind).toBe("too-few");
  });

  it("three that happen to lie on a line do not promise more than their uncertainty allows", () => {
    const runs = every(6, [0.1, 0.2, 0.3]).map((t) => ({ ...t, U: 0.06 }));
    const top = drifting(historyOf(...runs)).governing;
    expect(top.trend.degrees_of_freedom).toBe(1);
    // t = 12.71 for one degree of freedom (JCGM 100:2008, Table G.2), times 0.03: beyond the limit already.
    expect(top.earliest_leaves).toBe("2025-01-15");
    expect(top.inside_until).toBeNull();
  });
});

describe("when a limit is reached", () => {
  const anyErrors = fc.array(fc.integer({ min: -200, max: 200 }), { minLength: 4, maxLength: 9 });

  it("is the first day on which the band touches it, as counting day by day finds", () => {
    fc.assert(
      fc.property(anyErrors, (thousandths) => {
        const drift = drifting(
          historyOf(
            ...every(
              6,
              thousandths.map((t) => t / 1000),
            ),
          ),
        );
        for (const point of drift.points) {
          const last = point.series.points.at(-1)?.date ?? "";
          let band: string | null = null;
          let line: string | null = null;
          for (let d = 0; d <= Math.floor(10 * DAYS_PER_YEAR) && (band === null || line === null); d += 1) {
            const day = addDays(last, d);
            const { error, next } = point.at(day);
            if (band === null && Math.abs(error) + next > point.series.limit_percent_span) band = day;
            if (line === null && Math.abs(error) > point.series.limit_percent_span) line = day;
          }
          expect(point.earliest_leaves).toBe(band);
          expect(point.expected_leaves).toBe(line);
          if (band !== null) expect(daysBetween(point.inside_until ?? addDays(band, -1), band)).toBe(1);
        }
      }),
      { numRuns: 12 },
    );
  });

  it("leads with the point that may leave first, and goes with the unit in which errors and limits are told", () => {
    fc.assert(
      fc.property(anyErrors, fc.constantFrom(0.25, 3, 40), (thousandths, factor) => {
        const told = every(
          6,
          thousandths.map((t) => t / 1000),
        );
        const plain = drifting(historyOf(...told));
        const scaled = drifting(
          historyOf(
            ...told.map((t) => ({ ...t, found: [0, factor * (t.found?.[1] ?? 0)] as const, limit: 0.5 * factor })),
          ),
        );
        const earliest = (d: { readonly earliest_leaves: string | null }): string => d.earliest_leaves ?? "9999-12-31";
        for (const point of plain.points) {
          const same = scaled.points.find((p) => seriesName(p.series) === seriesName(point.series));
          const [day, other] = [point.earliest_leaves, same?.earliest_leaves ?? null];
          // A rounding in the last bit may move an edge that falls on midnight by a day.
          if (day === null || other === null) expect(other).toBe(day);
          else expect(Math.abs(daysBetween(day, other))).toBeLessThanOrEqual(1);
          expect(earliest(plain.governing) <= earliest(point)).toBe(true);
        }
      }),
      { numRuns: 30 },
    );
  });
});
