import { rateFromShare, timeForTarget } from "../../history/methods/reliability.ts";
import { decreaseFor, settlingReliability } from "../../history/methods/simple-response.ts";
import { trendLine } from "../../history/trend-line.ts";
import { studentTQuantile } from "../../uncertainty/statistics/student-t.ts";
import { allowed, casesIn } from "./case-files.ts";
import type { CaseResult } from "./check.ts";

type Figures<K extends string> = Readonly<Record<K, number>>;

/** Drift with its prediction, and recalibration intervals. */
export const intervalCases = (): readonly CaseResult[] => {
  const caseOf = casesIn("interval-cases", "recalibration intervals");

  const drift = caseOf<
    Figures<"u_y_1e-6" | "t_predict_days"> & Readonly<Record<"t_days" | "y_1e-6", readonly number[]>>,
    Figures<"y_predicted" | "s_residual" | "u_predicted" | "U95_predicted" | "dof">
  >("gum6-10.6-drift");
  {
    const { inputs, expected: e, tolerance, record } = drift;
    const points = inputs.t_days.map((x, i) => ({ x, y: inputs["y_1e-6"][i] ?? Number.NaN, u: inputs["u_y_1e-6"] }));
    const line = trendLine(points, { confidence: 0.95, scatter: "known", studentT: studentTQuantile });
    const at = line?.at(inputs.t_predict_days);
    const within = (key: keyof typeof e): number => allowed(tolerance, key, e[key]);
    record.near("value on the line", at?.value, e.y_predicted, within("y_predicted"));
    record.near("residual standard deviation", line?.residual_sd, e.s_residual, within("s_residual"));
    record.near("standard uncertainty of the line", at?.u_line, e.u_predicted, within("u_predicted"));
    record.near("expanded uncertainty of the line, 95 %", at?.line, e.U95_predicted, within("U95_predicted"));
    record.near("degrees of freedom", line?.degrees_of_freedom, e.dof, within("dof"));
  }

  const exponential = caseOf<
    Figures<"interval_months" | "observed_reliability" | "target_reliability">,
    Figures<"lambda_per_month" | "new_interval_months">
  >("interval-exponential");
  {
    const { inputs, expected: e, tolerance, record } = exponential;
    const rate = rateFromShare([inputs.interval_months], inputs.observed_reliability);
    // The rate stands there with five digits.
    record.near("rate a month", rate, e.lambda_per_month, allowed(tolerance, "lambda_per_month", e.lambda_per_month));
    record.near(
      "months for the target",
      timeForTarget(rate, inputs.target_reliability),
      e.new_interval_months,
      allowed(tolerance, "new_interval_months", e.new_interval_months),
    );
  }

  const response = caseOf<
    Figures<"increase_a" | "b_given"> & { readonly target_reliability: readonly number[] },
    { readonly b_for_target: readonly number[]; readonly equilibrium_reliability_for_a_0_10_b_0_55: number }
  >("interval-simple-response");
  {
    const { inputs, expected: e, tolerance, record } = response;
    record.nearAll(
      "share by which it shrinks",
      inputs.target_reliability.map((target) => decreaseFor(inputs.increase_a, target)),
      e.b_for_target,
      allowed(tolerance, "b_for_target", 1),
    );
    const key = "equilibrium_reliability_for_a_0_10_b_0_55";
    record.near(
      "share at which it settles",
      settlingReliability(inputs.increase_a, inputs.b_given),
      e[key],
      allowed(tolerance, key, e[key]),
    );
  }
  return [drift, exponential, response].map((c) => c.record.result());
};
