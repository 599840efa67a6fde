import { expect, test } from "vitest";
import { figure } from "../../src/analysis/analysis.ts";
import { valueOnLine } from "../../src/analysis/calibration-line.ts";
import { leastSquaresLine, polynomialFit } from "../../src/analysis/least-squares.ts";
import { referenceLines } from "../../src/analysis/linearity.ts";
import { analysed, unitOf, upAndDown, valueIn } from "../analysis/bench-readings.ts";
import { caseOf, casesOf, off } from "./analysis-case-file.ts";

const FILE = "linearity-cases.json";

interface UpDown {
  readonly applied: readonly number[];
  readonly up: readonly number[];
  readonly down: readonly number[];
}

test("every case of the file is used here", () => {
  expect(casesOf(FILE).map((c) => c.id)).toEqual([
    "doebelin-fit-both-directions",
    "doebelin-fit-up-and-down-separately",
    "doebelin-linearity-three-kinds",
    "kessel-two-point-line",
    "kessel-uncertainty-of-calibration-line",
    "nist-norris",
    "nist-pontius-quadratic",
    "loadcell-gain-and-best-fit-nonlinearity",
  ]);
});

// Doebelin, Measurement Systems: the figure prints 1.08 and -0.85. The standard errors are those of n - 2. A course
// prints 0.0134 and 0.078 for them, which follow (roughly) from dividing by n; both are checked, so the divisor is known.
test("Doebelin's gauge, rising and falling together", () => {
  const c = caseOf<
    UpDown,
    Record<
      | "slope"
      | "intercept"
      | "slope_full"
      | "intercept_full"
      | "r2"
      | "s_yx_n_minus_2"
      | "s_n"
      | "s_slope"
      | "s_intercept",
      number
    >,
    { slope: number; intercept: number; default: number }
  >(FILE, "doebelin-fit-both-directions");
  const line = leastSquaresLine([...c.inputs.applied, ...c.inputs.applied], [...c.inputs.up, ...c.inputs.down]);
  if (line === null) throw new Error("no line");
  const { expected, tolerance } = c;
  expect(off(line.slope, expected.slope)).toBeLessThanOrEqual(tolerance.slope);
  expect(off(line.intercept, expected.intercept)).toBeLessThanOrEqual(tolerance.intercept);
  expect(off(line.slope, expected.slope_full)).toBeLessThanOrEqual(tolerance.default);
  expect(off(line.intercept, expected.intercept_full)).toBeLessThanOrEqual(tolerance.default);
  expect(off(line.fit.r_squared, expected.r2)).toBeLessThanOrEqual(tolerance.default);
  expect(off(line.fit.residual_sd ?? Number.NaN, expected.s_yx_n_minus_2)).toBeLessThanOrEqual(tolerance.default);
  const byN = Math.sqrt(20 / 22);
  expect(off((line.fit.residual_sd ?? Number.NaN) * byN, expected.s_n)).toBeLessThanOrEqual(tolerance.default);
  const [sIntercept = Number.NaN, sSlope = Number.NaN] = line.fit.standard_error ?? [];
  expect(off(sSlope, expected.s_slope)).toBeLessThanOrEqual(tolerance.default);
  expect(off(sIntercept, expected.s_intercept)).toBeLessThanOrEqual(tolerance.default);
  expect(off(sSlope * byN, 0.0134)).toBeLessThanOrEqual(5e-5);
});

// Same data, each direction by itself; printed by the course notebook.
test("Doebelin's gauge, rising and falling apart", () => {
  type Line = Record<"slope" | "intercept" | "r2" | "s_yx", number>;
  const c = caseOf<UpDown, Record<"up" | "down", Line>, { s_yx: number; default: number }>(
    FILE,
    "doebelin-fit-up-and-down-separately",
  );
  for (const branch of ["up", "down"] as const) {
    const line = leastSquaresLine(c.inputs.applied, c.inputs[branch]);
    if (line === null) throw new Error("no line");
    expect(off(line.slope, c.expected[branch].slope)).toBeLessThanOrEqual(c.tolerance.default);
    expect(off(line.intercept, c.expected[branch].intercept)).toBeLessThanOrEqual(c.tolerance.default);
    expect(off(line.fit.r_squared, c.expected[branch].r2)).toBeLessThanOrEqual(c.tolerance.default);
    expect(off(line.fit.residual_sd ?? Number.NaN, c.expected[branch].s_yx)).toBeLessThanOrEqual(c.tolerance.s_yx);
  }
});

// Data published, results derived from the definitions by a second implementation.
test("Doebelin's gauge: the three lines", () => {
  const c = caseOf<
    UpDown,
    {
      average_curve: number[];
      terminal_based_max_abs: number;
      terminal_based_at: number;
      independent: Record<"slope" | "intercept" | "max_abs", number>;
      zero_based: Record<"slope" | "max_abs", number>;
      measured_accuracy: Record<"min" | "max", number>;
    }
  >(FILE, "doebelin-linearity-three-kinds");
  const { expected, inputs, tolerance } = c;
  const average = inputs.applied.map((x, i) => ({ x, y: ((inputs.up[i] ?? 0) + (inputs.down[i] ?? 0)) / 2 }));
  for (const [i, p] of average.entries()) expect(off(p.y, expected.average_curve[i])).toBeLessThanOrEqual(1e-12);
  const lines = referenceLines(average);
  expect(off(lines.independent?.slope ?? Number.NaN, expected.independent.slope)).toBeLessThanOrEqual(tolerance.abs);
  expect(off(lines.independent?.intercept ?? Number.NaN, expected.independent.intercept)).toBeLessThanOrEqual(
    tolerance.abs,
  );
  expect(off(lines.independent?.max_deviation ?? Number.NaN, expected.independent.max_abs)).toBeLessThanOrEqual(
    tolerance.abs,
  );
  expect(off(lines.terminal?.max_deviation ?? Number.NaN, expected.terminal_based_max_abs)).toBeLessThanOrEqual(
    tolerance.abs,
  );
  expect(off(lines.zero_based?.slope ?? Number.NaN, expected.zero_based.slope)).toBeLessThanOrEqual(tolerance.abs);
  expect(off(lines.zero_based?.max_deviation ?? Number.NaN, expected.zero_based.max_abs)).toBeLessThanOrEqual(
    tolerance.abs,
  );

  // The same through a whole stage, in % of the 10 kPa span.
  const unit = unitOf([0, 10], [0, 10]);
  const analysis = analysed(upAndDown(unit, inputs.applied, inputs.up, inputs.down), unit);
  const within = 10 * tolerance.abs;
  expect(off(valueIn(analysis, "linearity-independent"), 10 * expected.independent.max_abs)).toBeLessThanOrEqual(
    within,
  );
  expect(off(valueIn(analysis, "linearity-terminal"), 10 * expected.terminal_based_max_abs)).toBeLessThanOrEqual(
    within,
  );
  expect(off(valueIn(analysis, "linearity-zero-based"), 10 * expected.zero_based.max_abs)).toBeLessThanOrEqual(within);
  expect(figure(analysis, "linearity-terminal")?.at_percent).toBe(10 * expected.terminal_based_at);
  expect(off(valueIn(analysis, "measured-accuracy-negative"), 10 * expected.measured_accuracy.min)).toBeLessThanOrEqual(
    within,
  );
  expect(off(valueIn(analysis, "measured-accuracy-positive"), 10 * expected.measured_accuracy.max)).toBeLessThanOrEqual(
    within,
  );
});

// Kessel, Kacker and Sommer, Measurement 45 (2012) 1661, as worked in the GTC documentation (github.com/MSLNZ/GTC).
test("Kessel's range calibration: the two-point line and its deviations", () => {
  const c = caseOf<
    { pressure: number[]; indication: number[] },
    { slope: number; intercept: number; deviation: number[]; max_abs: number },
    { slope: number; deviation: number; max_abs: number }
  >(FILE, "kessel-two-point-line");
  const { terminal } = referenceLines(
    c.inputs.indication.map((x, i) => ({ x, y: c.inputs.pressure[i] ?? Number.NaN })),
  );
  if (terminal === null) throw new Error("no line");
  expect(off(terminal.slope, c.expected.slope)).toBeLessThanOrEqual(c.tolerance.slope);
  expect(terminal.intercept).toBe(c.expected.intercept);
  expect(off(terminal.max_deviation, c.expected.max_abs)).toBeLessThanOrEqual(c.tolerance.max_abs);
  for (const [i, x] of c.inputs.indication.entries()) {
    // Printed as applied minus line.
    const deviation = (c.inputs.pressure[i] ?? Number.NaN) - terminal.slope * x;
    expect(off(deviation, c.expected.deviation[i])).toBeLessThanOrEqual(c.tolerance.deviation);
  }
});

test("Kessel's range calibration: uncertainty along the line", () => {
  const c = caseOf<
    Record<
      | "a"
      | "u_a"
      | "b"
      | "u_b"
      | "correlation_ab"
      | "resolution_half_width"
      | "linearity_half_width"
      | "coverage_factor",
      number
    > & {
      indication: number[];
    },
    { pressure: number[]; expanded_uncertainty: number[] },
    { pressure: number; expanded_uncertainty: number }
  >(FILE, "kessel-uncertainty-of-calibration-line");
  const line = { ...c.inputs, correlation: c.inputs.correlation_ab };
  for (const [i, x] of c.inputs.indication.entries()) {
    const { value, u } = valueOnLine(line, x);
    expect(off(value, c.expected.pressure[i])).toBeLessThanOrEqual(c.tolerance.pressure);
    expect(off(c.inputs.coverage_factor * u, c.expected.expanded_uncertainty[i])).toBeLessThanOrEqual(
      c.tolerance.expanded_uncertainty,
    );
  }
});

// NIST StRD Norris, certified values (also in nist-strd.test.ts to all digits; here as the plain line of the trade).
test("Norris, ozone monitor calibration", () => {
  const c = caseOf<
    { x: number[]; y: number[] },
    Record<"intercept" | "slope" | "se_intercept" | "se_slope" | "r2" | "residual_sd" | "sse" | "ssr", number>,
    { abs: number; sse: number; ssr: number }
  >(FILE, "nist-norris");
  const line = leastSquaresLine(c.inputs.x, c.inputs.y);
  if (line === null) throw new Error("no line");
  const { fit } = line;
  expect(off(line.slope, c.expected.slope)).toBeLessThanOrEqual(c.tolerance.abs);
  expect(off(line.intercept, c.expected.intercept)).toBeLessThanOrEqual(c.tolerance.abs);
  expect(off(fit.standard_error?.[0] ?? Number.NaN, c.expected.se_intercept)).toBeLessThanOrEqual(c.tolerance.abs);
  expect(off(fit.standard_error?.[1] ?? Number.NaN, c.expected.se_slope)).toBeLessThanOrEqual(c.tolerance.abs);
  expect(off(fit.r_squared, c.expected.r2)).toBeLessThanOrEqual(c.tolerance.abs);
  expect(off(fit.residual_sd ?? Number.NaN, c.expected.residual_sd)).toBeLessThanOrEqual(c.tolerance.abs);
  expect(off(fit.ss_residual, c.expected.sse)).toBeLessThanOrEqual(c.tolerance.sse);
  expect(off(fit.ss_regression, c.expected.ssr)).toBeLessThanOrEqual(c.tolerance.ssr);
});

test("Pontius, load cell calibration, both runs together", () => {
  const c = caseOf<
    { load: number[]; run1: number[]; run2: number[] },
    Record<"b0" | "b1" | "b2" | "sse" | "se_b0" | "se_b1" | "se_b2", number>,
    { rel: number }
  >(FILE, "nist-pontius-quadratic");
  const fit = polynomialFit([...c.inputs.load, ...c.inputs.load], [...c.inputs.run1, ...c.inputs.run2], 2);
  if (fit === null) throw new Error("no fit");
  const pairs = [
    [fit.estimate[0], c.expected.b0],
    [fit.estimate[1], c.expected.b1],
    [fit.estimate[2], c.expected.b2],
    [fit.ss_residual, c.expected.sse],
    [fit.standard_error?.[0], c.expected.se_b0],
    [fit.standard_error?.[1], c.expected.se_b1],
    [fit.standard_error?.[2], c.expected.se_b2],
  ] as const;
  for (const [computed, certified] of pairs) {
    expect(off(computed ?? Number.NaN, certified)).toBeLessThanOrEqual(c.tolerance.rel * Math.abs(certified));
  }
});

// curvefit library documentation (github.com/jchristopherson/curvefit): gain through zero, load = gain x output.
test("load cell 0-500: gain through zero and the largest error it leaves", () => {
  const c = caseOf<
    { applied: number[]; output: number[] },
    { gain: number; nonlinearity: number },
    { gain: number; nonlinearity: number }
  >(FILE, "loadcell-gain-and-best-fit-nonlinearity");
  const fit = polynomialFit(c.inputs.output, c.inputs.applied, 1, { intercept: false });
  if (fit === null) throw new Error("no fit");
  expect(off(fit.estimate[0] ?? Number.NaN, c.expected.gain)).toBeLessThanOrEqual(c.tolerance.gain);
  // Residuals are load minus gain x output; the published error has the other sign.
  const errors = fit.residuals.map((r) => -r);
  const worst = errors.reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a));
  expect(off(worst, c.expected.nonlinearity)).toBeLessThanOrEqual(c.tolerance.nonlinearity);
});
