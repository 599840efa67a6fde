import { leastSquaresLine } from "../../analysis/least-squares.ts";
import { mean, standardDeviation } from "../../analysis/statistics.ts";
import { type BudgetModel, parseBudgetModel } from "../../uncertainty/budget/budget-model.ts";
import { propagateFirstOrder } from "../../uncertainty/budget/first-order.ts";
import { combineContributions } from "../../uncertainty/combine-contributions.ts";
import { DEFAULT_COVERAGE } from "../../uncertainty/coverage-factor.ts";
import type { Contribution } from "../../uncertainty/point-uncertainty.ts";
import {
  degreesOfFreedomOfDoubt,
  ofExpanded,
  ofRectangle,
  ofSpan,
  ofTrapezoid,
  ofTriangle,
} from "../../uncertainty/standard-uncertainty.ts";
import { allowed, type Case, casesIn, type Tolerances } from "./case-files.ts";
import type { CaseResult } from "./check.ts";
import { endGauge, fittedCorrection, impedance } from "./models.ts";

type Numbers = Readonly<Record<string, number>>;
type Lists = Readonly<Record<string, readonly number[]>>;

/** Checks a figure against the expected one of the same name. */
const check = (
  { record, expected, tolerance }: Case<unknown, Numbers, Tolerances>,
  key: string,
  got: number | null | undefined,
): void => {
  const wanted = expected[key] ?? Number.NaN;
  record.near(key, got, wanted, allowed(tolerance, key, wanted));
};

export const modelFrom = (text: string): BudgetModel => {
  const parsed = parseBudgetModel(text, "published model");
  if (!parsed.ok) throw new Error(parsed.fault.map((f) => f.message).join(" "));
  return parsed.value;
};

const term = (u: number, degrees_of_freedom: number, correlation?: number): Contribution => ({
  id: "term",
  name: "term",
  evaluation: "B",
  distribution: "normal",
  given: "",
  u_input: u,
  unit: "kPa",
  sensitivity: 1,
  u_kPa: u,
  degrees_of_freedom,
  source: "",
  ...(correlation === undefined ? {} : { common: { cause: "one standard", correlation } }),
});

/** Inputs of JCGM 100:2008, 4 and F. */
const inputCases = (caseOf: ReturnType<typeof casesIn>): readonly CaseResult[] => {
  const a = caseOf<{ readonly readings: readonly number[] }, Numbers>("gum-4.4.3-type-a");
  const s = standardDeviation(a.inputs.readings) ?? Number.NaN;
  check(a, "mean", mean(a.inputs.readings));
  check(a, "s", s);
  check(a, "u_mean", s / Math.sqrt(a.inputs.readings.length));

  const k3 = caseOf<Readonly<Record<"U_ug" | "multiple", number>>, Numbers>("gum-4.3.3-k3");
  check(k3, "u_ug", ofExpanded(k3.inputs.U_ug, k3.inputs.multiple));

  const rectangle = caseOf<{ readonly half_width: number }, Numbers>("gum-4.3.7-ex1-rect");
  check(rectangle, "u", ofRectangle(rectangle.inputs.half_width));

  const shapes = caseOf<Readonly<Record<"lower" | "upper", number>>, Numbers>("gum-4.4.5-6-rect-tri");
  const half = (shapes.inputs.upper - shapes.inputs.lower) / 2;
  check(shapes, "u_rectangular", ofRectangle(half));
  check(shapes, "u_triangular", ofTriangle(half));

  const trapezoid = caseOf<{ readonly beta: readonly number[] }, { readonly u: readonly number[] }>(
    "gum-4.3.9-trapezoid",
  );
  trapezoid.record.nearAll(
    "u",
    trapezoid.inputs.beta.map((beta) => ofTrapezoid(1, beta)),
    trapezoid.expected.u,
    allowed(trapezoid.tolerance, "u", 1),
  );

  const width = caseOf<{ readonly hysteresis_range: number }, Numbers>("gum-F.2.2-resolution-hysteresis");
  check(width, "u_resolution_g", ofSpan(1));
  check(width, "u_hysteresis", ofSpan(width.inputs.hysteresis_range));

  const doubt = caseOf<{ readonly relative_uncertainty_of_u: readonly number[] }, { readonly dof: readonly number[] }>(
    "gum-G.4.2-dof-typeB",
  );
  doubt.record.nearAll(
    "degrees of freedom",
    doubt.inputs.relative_uncertainty_of_u.map(degreesOfFreedomOfDoubt),
    doubt.expected.dof,
    allowed(doubt.tolerance, "dof", 1),
  );

  const masses = caseOf<{ readonly mass_g: readonly number[] }, Numbers>("gum6-cancellation-a");
  const spread = standardDeviation(masses.inputs.mass_g) ?? Number.NaN;
  check(masses, "s_squared_g2", spread * spread);
  return [a, k3, rectangle, shapes, trapezoid, width, doubt, masses].map((c) => c.record.result());
};

/** Combination and coverage, JCGM 100:2008, 5 and G. */
const combinationCases = (caseOf: ReturnType<typeof casesIn>): readonly CaseResult[] => {
  const resistors = caseOf<
    Readonly<Record<"n" | "u_each_ohm", number>> & { readonly correlation: readonly number[] },
    { readonly u_sum_ohm: readonly number[] }
  >("gum-5.2.2-resistors");
  const { n, u_each_ohm, correlation } = resistors.inputs;
  resistors.record.nearAll(
    "u of the sum, ohm,",
    correlation.map((r) => {
      const contributions = Array.from({ length: n }, () => term(u_each_ohm, Number.POSITIVE_INFINITY, r));
      return combineContributions([{ weight: 1, contributions }], DEFAULT_COVERAGE).u_kPa;
    }),
    resistors.expected.u_sum_ohm,
    allowed(resistors.tolerance, "u_sum_ohm", 1),
  );

  const welch = caseOf<
    Readonly<Record<"relative_u_percent" | "n", readonly number[]>> & { readonly level: number },
    Numbers
  >("gum-G.4.1-welch");
  const contributions = welch.inputs.relative_u_percent.map((u, i) => term(u, (welch.inputs.n[i] ?? 0) - 1));
  const result = combineContributions([{ weight: 1, contributions }], {
    ...DEFAULT_COVERAGE,
    probability: welch.inputs.level,
  });
  check(welch, "u_c_percent", result.u_kPa);
  check(welch, "nu_eff", result.degrees_of_freedom);
  check(welch, "t95", result.k);
  check(welch, "U95_percent", result.U_kPa);
  return [resistors, welch].map((c) => c.record.result());
};

/** Whole budgets through the model of a file, JCGM 100:2008, H. */
const budgetCases = (caseOf: ReturnType<typeof casesIn>): readonly CaseResult[] => {
  const h1 = caseOf<Numbers, Numbers>("gum-H.1-full");
  const [l] = propagateFirstOrder(modelFrom(endGauge(h1.inputs))).outputs;
  const part = (name: string): number => Math.abs(l?.lines.find((x) => x.input === name)?.contribution ?? Number.NaN);
  check(h1, "l_mm", (l?.y ?? Number.NaN) * 1e-6);
  for (const name of ["lS", "d", "alphaS", "theta", "dalpha", "dtheta"]) check(h1, `contrib_${name}_nm`, part(name));
  check(h1, "u_c_nm", l?.u);
  check(h1, "nu_eff", l?.degrees_of_freedom);
  check(h1, "t99", l?.k);
  check(h1, "U99_nm", l?.U);

  const h2 = caseOf<Readonly<Record<"V" | "I_mA" | "phi_rad", readonly number[]>>, Numbers>("gum-H.2-approach1");
  const model = modelFrom(impedance(h2.inputs));
  const { outputs, correlation } = propagateFirstOrder(model);
  check(h2, "r_VI", model.correlation[0]?.[1]);
  check(h2, "r_Vphi", model.correlation[0]?.[2]);
  check(h2, "r_Iphi", model.correlation[1]?.[2]);
  ["R", "X", "Z"].forEach((name, at) => {
    check(h2, name, outputs[at]?.y);
    check(h2, `u_${name}`, outputs[at]?.u);
  });
  check(h2, "r_RX", correlation[0]?.[1]);
  check(h2, "r_RZ", correlation[0]?.[2]);
  check(h2, "r_XZ", correlation[1]?.[2]);

  const h3 = caseOf<Lists & { readonly t0_degC: number }, Numbers>("gum-H.3-fit");
  const x = (h3.inputs["t_degC"] ?? []).map((t) => t - h3.inputs.t0_degC);
  const line = leastSquaresLine(x, h3.inputs["b_degC"] ?? []);
  const [u0 = Number.NaN, u1 = Number.NaN] = line?.fit.standard_error ?? [];
  const r = -mean(x) / Math.sqrt(mean(x.map((v) => v * v)));
  check(h3, "intercept", line?.intercept);
  check(h3, "slope", line?.slope);
  check(h3, "u_intercept", u0);
  check(h3, "u_slope", u1);
  check(h3, "correlation", r);
  check(h3, "s", line?.fit.residual_sd);

  const at30 = caseOf<{ readonly t_degC: number }, Numbers>("gum-H.3-prediction");
  const text = fittedCorrection(line?.intercept ?? 0, u0, line?.slope ?? 0, u1, r, at30.inputs.t_degC);
  const [b] = propagateFirstOrder(modelFrom(text)).outputs;
  check(at30, "b", b?.y);
  check(at30, "u_c", b?.u);
  return [h1, h2, h3, at30].map((c) => c.record.result());
};

export const uncertaintyCases = (): readonly CaseResult[] => {
  const caseOf = casesIn("uncertainty-cases", "uncertainty");
  return [...inputCases(caseOf), ...combinationCases(caseOf), ...budgetCases(caseOf)];
};
