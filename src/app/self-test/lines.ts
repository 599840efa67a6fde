import { valueOnLine } from "../../analysis/calibration-line.ts";
import { leastSquaresLine, polynomialFit } from "../../analysis/least-squares.ts";
import { referenceLines } from "../../analysis/linearity.ts";
import { casesIn } from "./case-files.ts";
import type { CaseResult } from "./check.ts";

interface UpDown {
  readonly applied: readonly number[];
  readonly up: readonly number[];
  readonly down: readonly number[];
}
type Figures<K extends string> = Readonly<Record<K, number>>;

/** Straight lines: least squares, the three reference lines, a calibration line with its uncertainty. */
export const lineCases = (): readonly CaseResult[] => {
  const caseOf = casesIn("linearity-cases", "lines");

  const both = caseOf<
    UpDown,
    Figures<
      "slope" | "intercept" | "slope_full" | "intercept_full" | "r2" | "s_yx_n_minus_2" | "s_slope" | "s_intercept"
    >,
    Figures<"slope" | "intercept" | "default">
  >("doebelin-fit-both-directions");
  {
    const { applied, up, down } = both.inputs;
    const line = leastSquaresLine([...applied, ...applied], [...up, ...down]);
    const { expected: e, tolerance: t, record } = both;
    record.near("slope as printed", line?.slope, e.slope, t.slope);
    record.near("intercept as printed", line?.intercept, e.intercept, t.intercept);
    record.near("slope", line?.slope, e.slope_full, t.default);
    record.near("intercept", line?.intercept, e.intercept_full, t.default);
    record.near("R squared", line?.fit.r_squared, e.r2, t.default);
    record.near("residual standard deviation, divisor n - 2", line?.fit.residual_sd, e.s_yx_n_minus_2, t.default);
    record.near("standard error of the intercept", line?.fit.standard_error?.[0], e.s_intercept, t.default);
    record.near("standard error of the slope", line?.fit.standard_error?.[1], e.s_slope, t.default);
  }

  type Branch = Figures<"slope" | "intercept" | "r2" | "s_yx">;
  const apart = caseOf<UpDown, Readonly<Record<"up" | "down", Branch>>, Figures<"s_yx" | "default">>(
    "doebelin-fit-up-and-down-separately",
  );
  for (const branch of ["up", "down"] as const) {
    const line = leastSquaresLine(apart.inputs.applied, apart.inputs[branch]);
    const e = apart.expected[branch];
    apart.record.near(`slope, ${branch}`, line?.slope, e.slope, apart.tolerance.default);
    apart.record.near(`intercept, ${branch}`, line?.intercept, e.intercept, apart.tolerance.default);
    apart.record.near(`R squared, ${branch}`, line?.fit.r_squared, e.r2, apart.tolerance.default);
    apart.record.near(`residual standard deviation, ${branch}`, line?.fit.residual_sd, e.s_yx, apart.tolerance.s_yx);
  }

  const three = caseOf<
    UpDown,
    {
      readonly terminal_based_max_abs: number;
      readonly independent: Figures<"slope" | "intercept" | "max_abs">;
      readonly zero_based: Figures<"slope" | "max_abs">;
    },
    Figures<"abs">
  >("doebelin-linearity-three-kinds");
  {
    const { applied, up, down } = three.inputs;
    const lines = referenceLines(applied.map((x, i) => ({ x, y: ((up[i] ?? 0) + (down[i] ?? 0)) / 2 })));
    const { expected: e, tolerance: t, record } = three;
    record.near("independent line: slope", lines.independent?.slope, e.independent.slope, t.abs);
    record.near("independent line: intercept", lines.independent?.intercept, e.independent.intercept, t.abs);
    record.near("independent linearity", lines.independent?.max_deviation, e.independent.max_abs, t.abs);
    record.near("terminal-based linearity", lines.terminal?.max_deviation, e.terminal_based_max_abs, t.abs);
    record.near("zero-based line: slope", lines.zero_based?.slope, e.zero_based.slope, t.abs);
    record.near("zero-based linearity", lines.zero_based?.max_deviation, e.zero_based.max_abs, t.abs);
  }

  const range = caseOf<
    Readonly<Record<"pressure" | "indication", readonly number[]>>,
    Figures<"slope" | "max_abs">,
    Figures<"slope" | "max_abs">
  >("kessel-two-point-line");
  {
    const { terminal } = referenceLines(
      range.inputs.indication.map((x, i) => ({ x, y: range.inputs.pressure[i] ?? Number.NaN })),
    );
    range.record.near("slope through the ends", terminal?.slope, range.expected.slope, range.tolerance.slope);
    range.record.near("largest deviation", terminal?.max_deviation, range.expected.max_abs, range.tolerance.max_abs);
  }

  const along = caseOf<
    Figures<
      | "a"
      | "u_a"
      | "b"
      | "u_b"
      | "correlation_ab"
      | "resolution_half_width"
      | "linearity_half_width"
      | "coverage_factor"
    > & {
      readonly indication: readonly number[];
    },
    Readonly<Record<"pressure" | "expanded_uncertainty", readonly number[]>>,
    Figures<"pressure" | "expanded_uncertainty">
  >("kessel-uncertainty-of-calibration-line");
  {
    const { inputs, expected, tolerance, record } = along;
    const values = inputs.indication.map((x) => valueOnLine({ ...inputs, correlation: inputs.correlation_ab }, x));
    record.nearAll(
      "pressure on the line",
      values.map((v) => v.value),
      expected.pressure,
      tolerance.pressure,
    );
    record.nearAll(
      "expanded uncertainty",
      values.map((v) => inputs.coverage_factor * v.u),
      expected.expanded_uncertainty,
      tolerance.expanded_uncertainty,
    );
  }

  const gain = caseOf<
    Readonly<Record<"applied" | "output", readonly number[]>>,
    Figures<"gain" | "nonlinearity">,
    Figures<"gain" | "nonlinearity">
  >("loadcell-gain-and-best-fit-nonlinearity");
  {
    const fit = polynomialFit(gain.inputs.output, gain.inputs.applied, 1, { intercept: false });
    const worst = (fit?.residuals ?? []).map((r) => -r).reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a), 0);
    gain.record.near("gain through zero", fit?.estimate[0], gain.expected.gain, gain.tolerance.gain);
    gain.record.near("largest error", worst, gain.expected.nonlinearity, gain.tolerance.nonlinearity);
  }
  return [both, apart, three, range, along, gain].map((c) => c.record.result());
};
