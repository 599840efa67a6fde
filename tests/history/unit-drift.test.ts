import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createRandom } from "../../drivers/simulated/physics/random.ts";
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

  it("how far the screw was turned does not matter: the line keeps its slope and widths and moves along", () => {
    const visits = (set: number) =>
      every(6, [0.02, 0.11, 0.13, 0.27]).map((t, i): Told => {
        const top = (t.found?.[1] ?? 0) + (i > 1 ? set : 0);
        return i === 1 ? { ...t, left: [0, top + set] } : { ...t, found: [0, top] };
      });
    const [a, b] = [-0.1, 0.07].map((set) =>
      drifting(historyOf(...visits(set))).points.find((p) => p.series.nominal_percent === 100),
    );
    expect(b?.trend.slope).toBeCloseTo(a?.trend.slope ?? Number.NaN, 14);
    const [p, q] = [a, b].map((drift) => drift?.at("2026-06-01"));
    expect((q?.error ?? Number.NaN) - (p?.error ?? 0)).toBeCloseTo(0.17, 12);
    expect(q?.next).toBeCloseTo(p?.next ?? Number.NaN, 12);
    // Five results in two segments: two degrees of freedom.
    expect(a?.trend.degrees_of_freedom).toBe(2);
    expect(a?.runs).toBe(4);
  });

  it("takes a point that was at a stop, or not read, as a result less", () => {
    const whole = historyOf(...every(6, [0.1, 0.2, 0.3, 0.4]));
    const cut = whole.stretch.map((finding, i) => {
      const { as_found } = finding.fact;
      if (i !== 1 || as_found === null) return finding;
      const [zero, ...others] = as_found.points;
      const points = zero === undefined ? others : [{ ...zero, clipped: true }, ...others.slice(1)];
      return { ...finding, fact: { ...finding.fact, as_found: { ...as_found, points } } };
    });
    expect(driftSeries({ ...whole, stretch: cut }).map((s) => s.points.length)).toEqual([3, 3]);
  });
});

describe("the interval of the next result", () => {
  it.each([
    ["left alone", () => false],
    ["adjusted at every other visit", (visit: number) => visit % 2 === 1],
    ["adjusted at every visit", () => true],
  ] as const)("holds it in 95 of 100 made-up units, %s", (_, turned) => {
    const random = createRandom("next result");
    const scatter = 0.03;
    let inside = 0;
    const units = 2000;
    for (let unit = 0; unit < units; unit += 1) {
      const rate = random.uniform(-0.3, 0.3);
      let [truth, told]: [number, Told[]] = [0, []];
      for (let visit = 0; visit < 6; visit += 1) {
        truth += rate / 2;
        const result = (): number => truth + random.normal(0, scatter);
        const found: readonly [number, number] = [0, result()];
        if (turned(visit)) truth = random.uniform(-0.1, 0.1);
        const date = addDays("2024-01-01", Math.round((visit * DAYS_PER_YEAR) / 2));
        told = [...told, { date, found, ...(turned(visit) ? { left: [0, result()] as const } : {}) }];
      }
      const next = addDays("2024-01-01", Math.round(3 * DAYS_PER_YEAR));
      const top = drifting(historyOf(...told)).points.find((p) => p.series.nominal_percent === 100);
      const foretold = top?.at(next);
      const result = truth + rate / 2 + random.normal(0, scatter);
      if (foretold !== undefined && Math.abs(result - foretold.error) <= foretold.next) inside += 1;
    }
    // Four standard deviations of a binomial of 2000 at 0.95 are 0.0195.
    expect(Math.abs(inside / units - 0.95)).toBeLessThan(0.0195);
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
