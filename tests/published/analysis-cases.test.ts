import { expect, test } from "vitest";
import { figure } from "../../src/analysis/analysis.ts";
import {
  firstOrderRise,
  firstOrderSettling,
  firstOrderShare,
  firstOrderTimeTo,
  logDecrement,
  overshootShare,
  secondOrderShare,
  settlingByEnvelope,
  settlingRuleOfThumb,
  stepFigures,
  timeToPeak,
} from "../../src/analysis/dynamics.ts";
import { isothermalLeak_Pa_m3_per_s, MOLAR_GAS_CONSTANT, molarLeak_mol_per_s } from "../../src/analysis/leak.ts";
import { minimaxLineThrough } from "../../src/analysis/minimax-line.ts";
import { mean, rootMeanSquare, standardDeviation, unpairedT } from "../../src/analysis/statistics.ts";
import { analysed, pointsOf, unitOf, valueIn } from "../analysis/bench-readings.ts";
import { caseOf, casesOf, off } from "./analysis-case-file.ts";

const FILE = "analysis-cases.json";

test("every case of the file is used here", () => {
  expect(casesOf(FILE).map((c) => c.id)).toEqual([
    "spanerr-gauge",
    "spanerr-weighscale",
    "pontius-repeatability-and-linearity",
    "loadcell-static-error-band",
    "cfr-mean-std-rms",
    "cfr-unpaired-t",
    "first-order-table",
    "first-order-settling-multipliers",
    "second-order-zeta0.5-wn10",
    "log-decrement-from-step-peaks",
    "cfr-leak-rate-molar",
  ]);
});

// Kuphaldt exercises (CC BY): +2 % and -0.0125 % of span; indicated minus applied.
test.each(["spanerr-gauge", "spanerr-weighscale"])("%s: error in percent of span, and its sign", (id) => {
  const c = caseOf<Record<"lrv" | "urv" | "applied" | "indicated", number>, { error_percent_of_span: number }>(
    FILE,
    id,
  );
  const unit = unitOf([c.inputs.lrv, c.inputs.urv], [c.inputs.lrv, c.inputs.urv]);
  const reading = {
    cycle: 1,
    direction: "rising" as const,
    input_mA: c.inputs.applied,
    output_kPa: c.inputs.indicated,
  };
  const [point] = analysed(pointsOf(unit, [reading]), unit).points;
  expect(off(point?.error_percent_span ?? Number.NaN, c.expected.error_percent_of_span)).toBeLessThanOrEqual(
    c.tolerance.abs,
  );
});

// NIST StRD Pontius: runs published, these figures derived from them by a second implementation.
test("Pontius' load cell: range over two runs, and linearity of their mean", () => {
  const c = caseOf<
    { load: number[]; run1: number[]; run2: number[] },
    Record<
      "repeatability_max_abs" | "at_load" | "terminal_based_max_abs" | "terminal_based_at_load" | "independent_max_abs",
      number
    >,
    Record<"repeatability_max_abs" | "terminal_based_max_abs" | "independent_max_abs", number>
  >(FILE, "pontius-repeatability-and-linearity");
  const { expected, inputs, tolerance } = c;
  const unit = unitOf([0, 3e6], [0, 2.2]);
  const readings = [inputs.run1, inputs.run2].flatMap((run, i) =>
    run.map((output_kPa, j) => ({
      cycle: i + 1,
      direction: "rising" as const,
      input_mA: inputs.load[j] ?? Number.NaN,
      output_kPa,
    })),
  );
  const analysis = analysed(pointsOf(unit, readings), unit);
  const inUnits = (percent: number): number => (percent * 2.2) / 100;
  const load = (percent: number | undefined): number => ((percent ?? Number.NaN) * 3e6) / 100;
  expect(off(inUnits(valueIn(analysis, "repeatability")), expected.repeatability_max_abs)).toBeLessThanOrEqual(
    tolerance.repeatability_max_abs,
  );
  expect(load(figure(analysis, "repeatability")?.at_percent)).toBeCloseTo(expected.at_load, 3);
  expect(off(inUnits(valueIn(analysis, "linearity-terminal")), expected.terminal_based_max_abs)).toBeLessThanOrEqual(
    tolerance.terminal_based_max_abs,
  );
  expect(load(figure(analysis, "linearity-terminal")?.at_percent)).toBeCloseTo(expected.terminal_based_at_load, 3);
  expect(off(inUnits(valueIn(analysis, "linearity-independent")), expected.independent_max_abs)).toBeLessThanOrEqual(
    tolerance.independent_max_abs,
  );
});

// curvefit library (github.com/jchristopherson/curvefit): published band 0.0518 load units, 0.0104 % of full scale.
test("load cell 0-500: static error band", () => {
  const c = caseOf<
    { applied: number[]; output: number[]; applied_full_scale: number },
    Record<"static_error_band_applied_units" | "static_error_band_percent_fs" | "output_at_full_scale", number>,
    Record<"static_error_band_applied_units" | "static_error_band_percent_fs" | "output_at_full_scale", number>
  >(FILE, "loadcell-static-error-band");
  const { expected, inputs, tolerance } = c;
  // The band is a share of the output that the line itself has at full scale, so that output is the span here.
  const line = minimaxLineThrough(
    { x: 0, y: 0 },
    inputs.applied.map((x, i) => ({ x, y: inputs.output[i] ?? Number.NaN })),
  );
  const atFullScale = (line?.slope ?? Number.NaN) * inputs.applied_full_scale;
  expect(off(atFullScale, expected.output_at_full_scale)).toBeLessThanOrEqual(tolerance.output_at_full_scale);
  const unit = unitOf([0, inputs.applied_full_scale], [0, atFullScale]);
  const readings = inputs.applied.map((input_mA, i) => ({
    cycle: 1,
    direction: i < 6 ? ("rising" as const) : ("falling" as const),
    input_mA,
    output_kPa: inputs.output[i] ?? Number.NaN,
  }));
  const band = valueIn(analysed(pointsOf(unit, readings), unit), "static-error-band");
  expect(off(band, expected.static_error_band_percent_fs)).toBeLessThanOrEqual(tolerance.static_error_band_percent_fs);
  expect(off((band * inputs.applied_full_scale) / 100, expected.static_error_band_applied_units)).toBeLessThanOrEqual(
    tolerance.static_error_band_applied_units,
  );
});

test("40 CFR 1065.602: mean, standard deviation with n - 1, root mean square", () => {
  const c = caseOf<
    { y: number[] },
    Record<"mean" | "std_n_minus_1" | "rms", number>,
    Record<"mean" | "std_n_minus_1" | "rms", number>
  >(FILE, "cfr-mean-std-rms");
  expect(off(mean(c.inputs.y), c.expected.mean)).toBeLessThanOrEqual(c.tolerance.mean);
  expect(off(standardDeviation(c.inputs.y) ?? Number.NaN, c.expected.std_n_minus_1)).toBeLessThanOrEqual(
    c.tolerance.std_n_minus_1,
  );
  expect(off(rootMeanSquare(c.inputs.y), c.expected.rms)).toBeLessThanOrEqual(c.tolerance.rms);
});

test("40 CFR 1065.602: unpaired t-test", () => {
  const c = caseOf<
    Record<"mean_ref" | "mean" | "sd_ref" | "sd" | "n_ref" | "n", number>,
    { t: number; degrees_of_freedom: number }
  >(FILE, "cfr-unpaired-t");
  const i = c.inputs;
  const result = unpairedT({ mean: i.mean_ref, sd: i.sd_ref, n: i.n_ref }, { mean: i.mean, sd: i.sd, n: i.n });
  expect(off(result.t, c.expected.t)).toBeLessThanOrEqual(c.tolerance.abs);
  expect(off(result.degrees_of_freedom, c.expected.degrees_of_freedom)).toBeLessThanOrEqual(c.tolerance.abs);
});

test("first-order step response", () => {
  const c = caseOf<{ t_over_tau: number[] }, { fraction: number[]; rise_10_90_over_tau: number; t90_over_tau: number }>(
    FILE,
    "first-order-table",
  );
  for (const [i, t] of c.inputs.t_over_tau.entries()) {
    expect(off(firstOrderShare(t, 1), c.expected.fraction[i])).toBeLessThanOrEqual(c.tolerance.abs);
  }
  expect(off(firstOrderRise(1), c.expected.rise_10_90_over_tau)).toBeLessThanOrEqual(c.tolerance.abs);
  expect(off(firstOrderTimeTo(0.9, 1), c.expected.t90_over_tau)).toBeLessThanOrEqual(c.tolerance.abs);
});

test("first-order settling time", () => {
  const c = caseOf<{ tolerance_fraction: number[] }, { t_over_tau: number[] }>(
    FILE,
    "first-order-settling-multipliers",
  );
  for (const [i, p] of c.inputs.tolerance_fraction.entries()) {
    expect(off(firstOrderSettling(p, 1), c.expected.t_over_tau[i])).toBeLessThanOrEqual(c.tolerance.abs);
  }
});

test("second order, damping 0.5, 10 rad/s: formulas, and the figures read from its trace", () => {
  const c = caseOf<
    { zeta: number; omega_n: number },
    Record<
      | "overshoot_percent"
      | "time_to_peak_s"
      | "settling_2pct_approx_s"
      | "settling_2pct_envelope_s"
      | "settling_2pct_true_s",
      number
    >,
    Record<
      | "overshoot_percent"
      | "time_to_peak_s"
      | "settling_2pct_approx_s"
      | "settling_2pct_envelope_s"
      | "settling_2pct_true_s",
      number
    >
  >(FILE, "second-order-zeta0.5-wn10");
  const { expected, inputs, tolerance } = c;
  expect(off(100 * overshootShare(inputs.zeta), expected.overshoot_percent)).toBeLessThanOrEqual(
    tolerance.overshoot_percent,
  );
  expect(off(timeToPeak(inputs), expected.time_to_peak_s)).toBeLessThanOrEqual(tolerance.time_to_peak_s);
  expect(off(settlingRuleOfThumb(inputs), expected.settling_2pct_approx_s)).toBeLessThanOrEqual(
    tolerance.settling_2pct_approx_s,
  );
  expect(off(settlingByEnvelope(inputs, 0.02), expected.settling_2pct_envelope_s)).toBeLessThanOrEqual(
    tolerance.settling_2pct_envelope_s,
  );
  const trace = Array.from({ length: 3001 }, (_, i) => ({ at_s: i / 1000, value: secondOrderShare(inputs, i / 1000) }));
  const read = stepFigures(trace, { step_at_s: 0, start: 0, final: 1, band_share: 0.02 });
  expect(off(100 * (read?.overshoot_share ?? Number.NaN), expected.overshoot_percent)).toBeLessThanOrEqual(
    tolerance.overshoot_percent,
  );
  expect(off(read?.settling_s ?? Number.NaN, expected.settling_2pct_true_s)).toBeLessThanOrEqual(
    tolerance.settling_2pct_true_s,
  );
});

// Open course notebook; the peaks are coarsely sampled, which is why 540.979 is not the true 546.72 rad/s.
test("logarithmic decrement from the peaks of a step", () => {
  const c = caseOf<
    { peaks: { t: number; overshoot: number }[] },
    Record<"period" | "delta" | "zeta" | "omega_n", number>,
    Record<"period" | "delta" | "zeta" | "omega_n", number>
  >(FILE, "log-decrement-from-step-peaks");
  const result = logDecrement(c.inputs.peaks.map((p) => ({ at_s: p.t, overshoot: p.overshoot })));
  expect(off(result?.period_s ?? Number.NaN, c.expected.period)).toBeLessThanOrEqual(c.tolerance.period);
  expect(off(result?.delta ?? Number.NaN, c.expected.delta)).toBeLessThanOrEqual(c.tolerance.delta);
  expect(off(result?.zeta ?? Number.NaN, c.expected.zeta)).toBeLessThanOrEqual(c.tolerance.zeta);
  expect(off(result?.omega_n ?? Number.NaN, c.expected.omega_n)).toBeLessThanOrEqual(c.tolerance.omega_n);
});

test("40 CFR 1065.644: leak of a closed volume", () => {
  const c = caseOf<
    Record<"V_m3" | "R" | "p1_Pa" | "T1_K" | "p2_Pa" | "T2_K" | "dt_s", number>,
    { leak_mol_per_s: number; leak_rounded: number },
    { leak_mol_per_s: number; leak_rounded: number }
  >(FILE, "cfr-leak-rate-molar");
  const i = c.inputs;
  expect(MOLAR_GAS_CONSTANT).toBe(i.R);
  const leak = molarLeak_mol_per_s(
    i.V_m3,
    { absolute_Pa: i.p1_Pa, temperature_K: i.T1_K },
    { absolute_Pa: i.p2_Pa, temperature_K: i.T2_K },
    i.dt_s,
  );
  expect(off(leak, c.expected.leak_mol_per_s)).toBeLessThanOrEqual(c.tolerance.leak_mol_per_s);
  expect(off(leak, c.expected.leak_rounded)).toBeLessThanOrEqual(c.tolerance.leak_rounded);
  // At one temperature both forms say the same: Q = n R T.
  const isothermal = isothermalLeak_Pa_m3_per_s(i.V_m3, i.p1_Pa, i.p2_Pa, i.dt_s);
  expect(off(isothermal / (i.R * i.T1_K), leak)).toBeLessThanOrEqual(1e-15);
});
