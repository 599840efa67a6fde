import type { PointError } from "../analysis/analysis.ts";
import { normalBetween } from "../uncertainty/statistics/normal.ts";
import { studentTUpperTail } from "../uncertainty/statistics/student-t.ts";
import { decidePoint } from "./decide-stage.ts";
import type { Interval } from "./global-risk.ts";
import type { DecisionRule, PointWord } from "./verdict.ts";

/** A value against its limits. One of the limits may be infinite. All in one unit. */
export interface ValueToDecide {
  readonly value: number;
  readonly U: number;
  readonly k: number;
  readonly degrees_of_freedom: number;
  readonly limits: Interval;
}

export interface DecidedValue {
  readonly word: PointWord;
  /** Values from here to here, both included, are accepted; null when the rule and U leave no such zone. */
  readonly acceptance: Interval | null;
  /** P(true value outside the limits | measured value), JCGM 106:2012, clause 7. */
  readonly probability_outside: number;
  /** Of a wrong verdict: outside when accepted or no statement, inside when rejected. */
  readonly specific_risk: number;
}

/** Upper tail of the measured value's distribution about a limit. */
const tail = (z: number, dof: number): number =>
  dof === Number.POSITIVE_INFINITY ? normalBetween(z, Number.POSITIVE_INFINITY) : studentTUpperTail(z, dof);

/** Distance z at which one tail holds `risk`, by halving; the tail falls with z. */
const distanceFor = (risk: number, dof: number): number => {
  let [low, high] = [0, 1];
  while (tail(high, dof) > risk) high *= 2;
  for (let n = 0; n < 200 && high - low > 1e-15 * high; n += 1) {
    const middle = 0.5 * (low + high);
    if (tail(middle, dof) > risk) low = middle;
    else high = middle;
  }
  return high;
};

/** Same share as in the decision of a stage: what binary fractions leave behind is no excess. */
const FLOATING_NOISE = 1e-12;

/** Guard band below one limit. */
const guardBand = (rule: DecisionRule, to: ValueToDecide): number => {
  switch (rule.rule) {
    case "simple":
      return 0;
    case "guarded":
    case "four-words":
      return rule.share_of_U * to.U;
    case "target-risk":
      return distanceFor(rule.risk, to.degrees_of_freedom) * (to.U / to.k);
  }
};

/** One limit: there is always a zone of acceptance, however large U is. `excess` is positive beyond the limit. */
const oneSided = (to: ValueToDecide, rule: DecisionRule): DecidedValue => {
  const { lower, upper } = to.limits;
  const up = Number.isFinite(upper);
  const excess = up ? to.value - upper : lower - to.value;
  const w = guardBand(rule, to);
  const noise = FLOATING_NOISE * Math.max(Math.abs(up ? upper : lower), to.U);
  const word = ((): PointWord => {
    if (excess <= -w + noise) return "pass";
    if (rule.rule !== "four-words") return "fail";
    if (excess <= noise) return "conditional-pass";
    return excess <= w + noise ? "conditional-fail" : "fail";
  })();
  const outside = tail(-excess / (to.U / to.k), to.degrees_of_freedom);
  const rejected = word === "fail" || word === "conditional-fail";
  return {
    word,
    acceptance: up ? { lower, upper: upper - w } : { lower: lower + w, upper },
    probability_outside: outside,
    specific_risk: rejected ? 1 - outside : outside,
  };
};

/** decidePoint asks for a point of a stage; a plain value is one whose error is its distance from the middle. */
const asPoint = (error_kPa: number): PointError => ({
  ordinal: 1,
  cycle: 1,
  direction: "rising",
  nominal_percent: 0,
  nominal_mA: 0,
  applied_mA: 0,
  applied_from: "measured",
  ideal_kPa: 0,
  output_kPa: error_kPa,
  error_kPa,
  error_percent_span: 0,
  error_percent_reading: null,
  output_at_nominal_kPa: error_kPa,
  clipped: "none",
});

/** The verdict on one value, from unrounded numbers, by the same rules as that on a point of a calibration. */
export const decideValue = (to: ValueToDecide, rule: DecisionRule): DecidedValue => {
  const { lower, upper } = to.limits;
  if (!Number.isFinite(lower) || !Number.isFinite(upper)) return oneSided(to, rule);
  const middle = lower + (upper - lower) / 2;
  const half = (upper - lower) / 2;
  const known = { ordinal: 1, U_kPa: to.U, k: to.k, degrees_of_freedom: to.degrees_of_freedom };
  const { word, acceptance_kPa, specific_risk } = decidePoint(asPoint(to.value - middle), known, half, rule);
  const risk = specific_risk ?? Number.NaN;
  const rejected = word === "fail" || word === "conditional-fail";
  return {
    word,
    acceptance: acceptance_kPa === null ? null : { lower: middle - acceptance_kPa, upper: middle + acceptance_kPa },
    probability_outside: rejected ? 1 - risk : risk,
    specific_risk: risk,
  };
};
