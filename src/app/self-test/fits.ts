import { autoregression } from "../../analysis/autoregression.ts";
import { plainPolynomial } from "../../analysis/plain-lines.ts";
import { mean, standardDeviation } from "../../analysis/statistics.ts";
import { steadyRatios } from "../../analysis/steady-ratio.ts";
import { lineControl } from "../../uncertainty/check-standard.ts";
import { fitInference } from "../../uncertainty/fit-inference.ts";
import { allowed, type Case, casesIn, type Tolerances } from "./case-files.ts";
import type { CaseResult } from "./check.ts";

type Numbers = Readonly<Record<string, number>>;
type Lists = Readonly<Record<string, readonly number[]>>;

const check = (
  { record, expected, tolerance }: Case<unknown, Numbers, Tolerances>,
  key: string,
  got: number | undefined,
): void => {
  const wanted = expected[key] ?? Number.NaN;
  record.near(key, got, wanted, allowed(tolerance, key, wanted));
};

const pointsOf = (x: readonly number[] = [], y: readonly number[] = []) =>
  x.map((value, i) => ({ x: value, y: y[i] ?? Number.NaN }));

const LEVEL = 0.95;

/** A drift read ahead, and a straight line that repeated readings reject. */
const lineFits = (caseOf: ReturnType<typeof casesIn>): readonly CaseResult[] => {
  const drift = caseOf<Lists & Readonly<Record<"u_y_1e-6" | "t_predict_days", number>>, Numbers>("gum6-10.6-drift");
  const line = plainPolynomial(pointsOf(drift.inputs["t_days"], drift.inputs["y_1e-6"]), 1, true);
  const ahead =
    line === null ? null : fitInference(line, LEVEL, [drift.inputs["t_predict_days"]], drift.inputs["u_y_1e-6"]);
  const [, known] = ahead?.predictions ?? [];
  check(drift, "y_predicted", known?.y);
  check(drift, "s_residual", line?.residual_sd ?? undefined);
  check(drift, "u_predicted", known?.u);
  check(drift, "U95_predicted", known?.U);
  check(drift, "dof", ahead?.degrees_of_freedom);

  const cell = caseOf<Lists, Numbers>("eh-4.6.1.5-load-cell-line");
  const fit = plainPolynomial(pointsOf(cell.inputs["load"], cell.inputs["deflection"]), 1, true);
  const tested = fit === null ? null : fitInference(fit, LEVEL, [], null);
  const [b0, b1] = fit?.terms ?? [];
  check(cell, "b0", b0?.estimate);
  check(cell, "sd_b0", b0?.standard_error ?? undefined);
  check(cell, "b1", b1?.estimate);
  check(cell, "sd_b1", b1?.standard_error ?? undefined);
  check(cell, "s", fit?.residual_sd ?? undefined);
  check(cell, "dof", fit?.degrees_of_freedom);
  check(cell, "lack_of_fit_F", tested?.lack_of_fit?.F);
  check(cell, "F_crit_0_05_18_20", tested?.lack_of_fit?.F_critical);
  return [drift.record.result(), cell.record.result()];
};

const control = (caseOf: ReturnType<typeof casesIn>): CaseResult => {
  const { inputs, expected, tolerance, record } = caseOf<
    Numbers & Readonly<Record<"x_known" | "y_measured", readonly number[]>>,
    Readonly<Record<"t_star" | "limit", number>> & Readonly<Record<"W" | "out_of_control_days", readonly number[]>>
  >("eh-2.3.7.1-control");
  const { m = 3, alpha = 0.05 } = inputs;
  const readings = inputs.x_known.map((x, i) => ({
    x,
    y: inputs.y_measured[i] ?? Number.NaN,
    group: String(Math.floor(i / m) + 1),
  }));
  const { intercept = 0, slope = 1, s = 0, dof = 1 } = inputs;
  const result = lineControl({ intercept, slope, sd: s, degrees_of_freedom: dof }, readings, 1 - alpha);
  record.near("t*", result.t_star, expected.t_star, allowed(tolerance, "t_star", 1));
  record.near("limit", result.limit, expected.limit, allowed(tolerance, "limit", 1));
  record.nearAll(
    "by the line, less x,",
    result.readings.map((r) => r.off),
    expected.W,
    allowed(tolerance, "W", 1),
  );
  record.same("days outside", result.outside.join(" "), expected.out_of_control_days.join(" "));
  return record.result();
};

/** A stationary bath whose readings hang together. */
const bath = (caseOf: ReturnType<typeof casesIn>): readonly CaseResult[] => {
  const series = caseOf<
    Readonly<Record<"offset_degC", number>> & Readonly<Record<"readings_minus_50", readonly number[]>>,
    Numbers & { readonly ar2_phi: readonly number[] }
  >("gum6-bath");
  const y = series.inputs.readings_minus_50.map((v) => v + series.inputs.offset_degC);
  const ar = autoregression(y, 2);
  check(series, "mean_degC", mean(y));
  check(series, "naive_u_mean", (standardDeviation(y) ?? Number.NaN) / Math.sqrt(y.length));
  check(series, "ar2_tau", ar?.level);
  series.record.nearAll("phi", ar?.phi ?? [], series.expected.ar2_phi, allowed(series.tolerance, "ar2_phi", 1));
  for (const u of ar?.u_phi ?? []) check(series, "ar2_u_phi", u);
  check(series, "ar2_sigma", ar?.sigma);
  check(series, "u_mean_with_autocorrelation", ar?.u_level);

  const slope = caseOf<unknown, { readonly results: readonly Numbers[]; readonly trend_declared: readonly boolean[] }>(
    "bath-slope-t",
  );
  for (const [i, { from = 1, to = 1, slope_per_min = 0, t = 0 }] of slope.expected.results.entries()) {
    const part = y.slice(from - 1, to);
    const fit = plainPolynomial(
      pointsOf(
        part.map((_, at) => at),
        part,
      ),
      1,
      true,
    );
    const share = allowed(slope.tolerance, "results", 1);
    slope.record.near(
      `slope ${from} to ${to}`,
      fit?.terms[1]?.estimate,
      slope_per_min,
      share * Math.abs(slope_per_min),
    );
    slope.record.near(`t ${from} to ${to}`, fit?.terms[1]?.t, t, share * Math.abs(t));
    const drifts = fit === null ? null : (fitInference(fit, LEVEL, [], null)?.terms[1]?.differs_from_zero ?? null);
    slope.record.same(`called drifting, ${from} to ${to}`, String(drifts), String(slope.expected.trend_declared[i]));
  }

  const ratio = caseOf<
    unknown,
    Readonly<Record<"max_R" | "max_at_sample", number>> & { readonly R_at_sample: Numbers }
  >("rstat-bath");
  const ratios = steadyRatios(y, [0.2, 0.1, 0.1]);
  for (const [at, wanted] of Object.entries(ratio.expected.R_at_sample)) {
    ratio.record.near(`ratio at ${at}`, ratios[Number(at) - 1], wanted, allowed(ratio.tolerance, "R_at_sample", 1));
  }
  const largest = ratios.reduce<number>((most, r) => Math.max(most, r ?? 0), 0);
  ratio.record.near("largest ratio", largest, ratio.expected.max_R, allowed(ratio.tolerance, "max_R", 1));
  ratio.record.near("its place", ratios.indexOf(largest) + 1, ratio.expected.max_at_sample, 0);
  return [series, slope, ratio].map((c) => c.record.result());
};

/** What fits, series and lines in use allow to be said. */
export const fitCases = (): readonly CaseResult[] => {
  const caseOf = casesIn("fit-cases", "fits and series");
  return [...lineFits(caseOf), control(caseOf), ...bath(caseOf)];
};
