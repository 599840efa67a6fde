import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { PointError } from "../../src/analysis/analysis.ts";
import { type BenchFacts, fixedPart, type PointFacts } from "../../src/uncertainty/bench-facts.ts";
import { headPressure_kPa } from "../../src/uncertainty/contributions/head.ts";
import { DEFAULT_COVERAGE } from "../../src/uncertainty/coverage-factor.ts";
import { type PointUncertainty, pointUncertainty } from "../../src/uncertainty/point-uncertainty.ts";
import { type CaptureFigures, figureUncertainty, stageUncertainty } from "../../src/uncertainty/stage-uncertainty.ts";
import { uncertaintyRemarkText } from "../../src/uncertainty/uncertainty-remark.ts";
import { kPa, mA } from "../../src/vocabulary/quantities.ts";
import type { Transfer } from "../../src/vocabulary/signal-range.ts";
import { pointError, stageAnalysis } from "../decision/point-error.ts";

/** 4 to 20 mA, 20 to 100 kPa: 5 kPa per mA. */
const transfer: Transfer = {
  input: { lower_mA: mA(4), upper_mA: mA(20) },
  output: { lower_kPa: kPa(20), upper_kPa: kPa(100), unit: "kPa", mode: "gauge" },
  action: "direct",
  characteristic: "linear",
};

/** An invented bench, whose figures make the sums easy: 3, 4 and 12 Pa. */
const bench: BenchFacts = {
  gauge: { name: "gauge-1", certificate: { number: "K-17", U: fixedPart(0.006), k: 2 } },
  current: { name: "meter-1", role: "meter", certificate: { number: "K-18", U: fixedPart(0.0016), k: 2 } },
};

const point: PointFacts = {
  ordinal: 3,
  output_kPa: 60.02,
  applied_mA: 12,
  slope_kPa_per_mA: 5,
  spread_kPa: 0.036,
  n: 25,
  n_effective: 9,
  u_settling_kPa: 0.012,
};

const one = (id: string, result: PointUncertainty) => result.contributions.find((c) => c.id === id);

describe("the budget of one point", () => {
  it("adds gauge, current through the slope, and scatter in quadrature: 3, 4, 12 give 13", () => {
    const result = pointUncertainty({ bench, point });
    expect(result.contributions.map((c) => [c.id, Number(c.u_kPa.toFixed(12))])).toEqual([
      ["gauge-certificate", 0.003],
      ["current-certificate", 0.004],
      ["scatter", 0.012],
    ]);
    expect(result.u_kPa).toBeCloseTo(0.013, 12);
    // 13^4 / (12^4 / 8)
    expect(result.degrees_of_freedom).toBeCloseTo((13 / 12) ** 4 * 8, 9);
    expect(result.k).toBeGreaterThan(2);
    expect(result.U_kPa).toBe(result.k * result.u_kPa);
    expect(one("current-certificate", result)).toMatchObject({
      unit: "mA",
      sensitivity: -5,
      source: "certificate K-18",
    });
  });

  it("counts of the settling figure only what the scatter does not hold already", () => {
    const result = pointUncertainty({ bench, point: { ...point, u_settling_kPa: 0.013 } });
    expect(one("settling", result)?.u_kPa).toBeCloseTo(0.005, 12);
  });

  it("adds what the unit may creep after the wait, in full and apart from the settling figure", () => {
    const still = pointUncertainty({ bench, point });
    const result = pointUncertainty({ bench, point: { ...point, u_creep_kPa: 0.005 } });
    expect(one("creep", still)).toBeUndefined();
    expect(one("creep", result)).toMatchObject({ u_kPa: 0.005, evaluation: "B" });
    // 0.013 kPa without it; 5, 12, 13 once more, a quarter as large.
    expect(result.u_kPa).toBeCloseTo(Math.hypot(0.013, 0.005), 12);
  });

  it("takes every other contribution that is stated", () => {
    const full: BenchFacts = {
      gauge: {
        ...bench.gauge,
        certificate: { number: "K-17", U: { fixed: 0.006, of_reading: 1e-4 }, k: 2 },
        resolution: 0.01,
        drift: { limit: fixedPart(0.006), known_from: "three calibrations" },
        temperature: { limit_per_K: { fixed: 0, of_reading: 1e-5 }, difference_K: -3 },
        hysteresis: 0.004,
        mounting: 0.002,
      },
      current: {
        ...bench.current,
        resolution: 0.001,
        drift: { limit: fixedPart(0.002), known_from: "maker" },
        temperature: { limit_per_K: fixedPart(1e-4), difference_K: 3 },
      },
      head: {
        height_m: 0.5,
        height_half_width_m: 0.01,
        density_difference: 0.7,
        density_half_width: 0.1,
        corrected: true,
      },
      gauge_zero_kPa: { before: 0.001, after: -0.003 },
      unit_step_kPa: 0.005,
    };
    const between = { s_kPa: 0.02, degrees_of_freedom: 12, averaged_over: 4, known_from: "four cycles" };
    const result = pointUncertainty({
      bench: full,
      point: { ...point, u_settling_kPa: 0.02, between_cycles: between, direction_span_kPa: 0.03 },
    });
    const u = Object.fromEntries(result.contributions.map((c) => [c.id, c.u_kPa]));
    const root3 = Math.sqrt(3);
    const wanted: Record<string, number> = {
      "gauge-certificate": (0.006 + 60.02e-4) / 2,
      "gauge-drift": 0.006 / root3,
      "gauge-resolution": 0.005 / root3,
      "gauge-temperature": (3 * 60.02e-5) / root3,
      "gauge-hysteresis": 0.002 / root3,
      "gauge-mounting": 0.002 / root3,
      "gauge-zero-drift": 0.002 / root3,
      head: (0.7 * 9.80665 * 0.01 + 0.1 * 9.80665 * 0.5) / 1000 / root3,
      "current-certificate": 0.004,
      "current-drift": (5 * 0.002) / root3,
      "current-resolution": (5 * 0.0005) / root3,
      "current-temperature": (5 * 3e-4) / root3,
      "unit-step": 0.0025 / root3,
      scatter: 0.012,
      settling: 0.016,
      "between-cycles": 0.01,
      "direction-span": 0.015 / root3,
    };
    expect(Object.keys(u)).toEqual(Object.keys(wanted));
    for (const [id, value] of Object.entries(wanted)) expect(u[id], id).toBeCloseTo(value, 12);
    const sum = Math.sqrt(Object.values(wanted).reduce((s, x) => s + x * x, 0));
    expect(result.u_kPa).toBeCloseTo(sum, 12);
  });

  it("gives a dial that a person reads its readability instead of a digital step", () => {
    const dial = { ...bench.gauge, resolution: 0.01, dial: { division_kPa: 0.5, readable_share: 0.2 } };
    const result = pointUncertainty({ bench: { ...bench, gauge: dial }, point });
    expect(one("dial-reading", result)?.u_kPa).toBeCloseTo(0.1 / Math.sqrt(3), 12);
    expect(one("gauge-resolution", result)).toBeUndefined();
    // That rectangle is nearly all of U: by convolution k comes close to 1.65.
    const coverage = { ...DEFAULT_COVERAGE, probability: 0.95, method: "convolution" as const };
    const convolved = pointUncertainty({ bench: { ...bench, gauge: dial }, point, coverage });
    expect(convolved.k).toBeGreaterThan(1.645);
    expect(convolved.k).toBeLessThan(1.8);
    expect(convolved.k_text).toContain("convolved with a normal distribution");
  });

  it("counts an uncorrected column in full: 10 m of air at 1.2 kg/m3 is 0.118 kPa", () => {
    expect(headPressure_kPa({ density_difference: 1.2, height_m: 10 })).toBeCloseTo(0.11768, 5);
    const head = {
      height_m: -10,
      height_half_width_m: 0,
      density_difference: 1.2,
      density_half_width: 0,
      corrected: false,
    };
    const result = pointUncertainty({ bench: { ...bench, head }, point });
    expect(one("head", result)?.u_kPa).toBeCloseTo(0.1176798 / Math.sqrt(3), 7);
  });

  it("raises U to the smallest claimable one and says so", () => {
    const raised = pointUncertainty({ bench, point, floor_kPa: 0.05 });
    expect(raised).toMatchObject({ U_kPa: 0.05, floor_kPa: 0.05 });
    expect(raised.u_kPa).toBeCloseTo(0.013, 12);
    expect(pointUncertainty({ bench, point, floor_kPa: 0.01 }).floor_kPa).toBeUndefined();
  });
});

describe("properties of a budget", () => {
  const positive = fc.double({ min: 1e-6, max: 1, noNaN: true });

  it("one more independent contribution never makes the total smaller", () => {
    fc.assert(
      fc.property(positive, positive, (resolution, step) => {
        const before = pointUncertainty({ bench: { ...bench, gauge: { ...bench.gauge, resolution } }, point });
        const after = pointUncertainty({
          bench: { ...bench, gauge: { ...bench.gauge, resolution }, unit_step_kPa: step },
          point,
        });
        expect(after.u_kPa).toBeGreaterThanOrEqual(before.u_kPa);
        expect(after.degrees_of_freedom).toBeGreaterThanOrEqual(before.degrees_of_freedom);
      }),
    );
  });

  it("scales with the unit of pressure", () => {
    fc.assert(
      fc.property(positive, positive, positive, (U, spread, factor) => {
        const at = (scale: number) =>
          pointUncertainty({
            bench: { ...bench, gauge: { ...bench.gauge, certificate: { number: "K", U: fixedPart(U * scale), k: 2 } } },
            point: {
              ...point,
              output_kPa: point.output_kPa * scale,
              slope_kPa_per_mA: 5 * scale,
              spread_kPa: spread * scale,
              u_settling_kPa: (spread / 2) * scale,
            },
          });
        expect(at(factor).U_kPa / factor / at(1).U_kPa).toBeCloseTo(1, 9);
      }),
    );
  });
});

describe("figures made of several points", () => {
  const at = (ordinal: number, output_kPa: number) =>
    pointUncertainty({ bench, point: { ...point, ordinal, output_kPa, spread_kPa: 0, u_settling_kPa: 0 } });
  const ends = [at(1, 20), at(2, 100)];

  it("a mean keeps the whole of the one gauge and the one meter", () => {
    const weights = new Map([
      [1, 0.5],
      [2, 0.5],
    ]);
    expect(figureUncertainty(ends, weights).u_kPa).toBeCloseTo(0.005, 12);
  });

  it("a span error does not make them cancel as long as nobody knows that they do", () => {
    const weights = new Map([
      [1, -1],
      [2, 1],
    ]);
    expect(figureUncertainty(ends, weights).u_kPa).toBeCloseTo(0.005 * Math.SQRT2, 12);
  });

  it("with a known correlation of 1 the same gauge at both ends cancels; the meter does not", () => {
    const known = { ...bench, gauge: { ...bench.gauge, certificate: { ...bench.gauge.certificate, correlation: 1 } } };
    const points = [1, 2].map((ordinal) =>
      pointUncertainty({ bench: known, point: { ...point, ordinal, spread_kPa: 0, u_settling_kPa: 0 } }),
    );
    const weights = new Map([
      [1, -1],
      [2, 1],
    ]);
    expect(figureUncertainty(points, weights).u_kPa).toBeCloseTo(0.004 * Math.SQRT2, 12);
  });

  it("gauge and meter calibrated by one standard work against each other, because more current means less error", () => {
    const common = (correlation: number): BenchFacts => ({
      gauge: { ...bench.gauge, certificate: { ...bench.gauge.certificate, cause: "standard", correlation } },
      current: { ...bench.current, certificate: { ...bench.current.certificate, cause: "standard", correlation } },
    });
    const quiet = { ...point, spread_kPa: 0, u_settling_kPa: 0 };
    expect(pointUncertainty({ bench: common(1), point: quiet }).u_kPa).toBeCloseTo(0.001, 12);
    expect(pointUncertainty({ bench: common(0), point: quiet }).u_kPa).toBeCloseTo(0.005, 12);
  });
});

describe("a stage", () => {
  const captureOf = (p: PointError): CaptureFigures => ({
    ordinal: p.ordinal,
    spread_kPa: 0,
    n: 20,
    n_effective: 10,
    u_settling_kPa: 0,
  });
  const cycles = [0.1, 0.12, 0.14].map((error_kPa, i) => pointError({ ordinal: i + 1, cycle: i + 1, error_kPa }));

  it("takes repeatability from the cycles and pools it over the points", () => {
    const second = [0.3, 0.3, 0.3].map((error_kPa, i) =>
      pointError({ ordinal: i + 4, cycle: i + 1, nominal_percent: 100, ideal_kPa: 100, applied_mA: 20, error_kPa }),
    );
    const points = [...cycles, ...second];
    const input = { analysis: stageAnalysis(points), captured: points.map(captureOf), transfer, bench };
    const pooled = stageUncertainty(input);
    expect(pooled.points).toHaveLength(6);
    const c = pooled.points[0]?.contributions.find((x) => x.id === "between-cycles");
    // s^2 is 0.0004 at one point and 0 at the other, two degrees of freedom each.
    expect(c?.u_kPa).toBeCloseTo(Math.sqrt(0.0002), 12);
    expect(c?.degrees_of_freedom).toBe(4);
    const each = stageUncertainty({ ...input, repeatability: "each-point" });
    const ids = each.points.map((p) => p.contributions.find((x) => x.id === "between-cycles")?.u_kPa ?? 0);
    expect(ids.map((u) => Number(u.toFixed(9)))).toEqual([0.02, 0.02, 0.02, 0, 0, 0]);
  });

  it("leaves a noisy unit a larger U than a quiet one on the same bench", () => {
    const U = (spread: number) => {
      const analysis = stageAnalysis([pointError()]);
      const captured = [{ ordinal: 1, spread_kPa: spread, n: 20, n_effective: 10, u_settling_kPa: spread / 3 }];
      return stageUncertainty({ analysis, captured, transfer, bench }).points[0]?.U_kPa ?? 0;
    };
    expect(U(0.05)).toBeGreaterThan(U(0.005));
  });

  it("says what is not in U, and leaves out a point whose capture is not at hand", () => {
    const result = stageUncertainty({ analysis: stageAnalysis([pointError()]), captured: [], transfer, bench });
    expect(result.points).toEqual([]);
    expect(result.remarks).toHaveLength(2);
    expect(result.remarks.map(uncertaintyRemarkText)[0]).toContain("drift of gauge-1 since its calibration");
    expect(result.remarks[1]).toEqual({ code: "one-cycle" });
  });

  it("stays finite at the foot of a square root, where the slope is not", () => {
    const root: Transfer = { ...transfer, characteristic: "square-root" };
    const foot = pointError({ nominal_percent: 0, nominal_mA: 4, applied_mA: 4, ideal_kPa: 20 });
    const { points } = stageUncertainty({
      analysis: stageAnalysis([foot]),
      captured: [captureOf(foot)],
      transfer: root,
      bench,
    });
    const current = points[0]?.contributions.find((c) => c.id === "current-certificate");
    // Half of the output over 2u: 80 sqrt(0.0008/16) / 0.0016 kPa per mA.
    expect(current?.sensitivity).toBeCloseTo(-(80 * Math.sqrt(0.0008 / 16)) / 0.0016, 6);
  });

  it("applies the smallest claimable uncertainty where one is claimed", () => {
    const input = { analysis: stageAnalysis(cycles), captured: cycles.map(captureOf), transfer, bench };
    const { points } = stageUncertainty({ ...input, floor: (p) => (p > 60.11 ? 0.5 : null) });
    expect(points.map((p) => p.floor_kPa)).toEqual([undefined, 0.5, 0.5]);
  });
});
