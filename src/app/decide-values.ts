import { type CertainZones, certainZones } from "../decision/certain-zones.ts";
import { type DecidedValue, decideValue, type ValueToDecide } from "../decision/decide-value.ts";
import { decisionRuleText, parseDecisionRule } from "../decision/decision-rule.ts";
import { type GlobalRisk, globalRisk, worstConsumerRisk, worstRiskAtReliability } from "../decision/global-risk.ts";
import {
  acceptanceByMethod5,
  acceptanceByMethod6,
  acceptanceByRootDifference,
  capabilityIndex,
  method6Multiplier,
  testAccuracyRatio,
  testUncertaintyRatio,
} from "../decision/guard-band.ts";
import type { DecisionRule } from "../decision/verdict.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";

/** A value as it is to be judged, with a name for print. */
export interface NamedValue extends ValueToDecide {
  readonly name: string;
  /** U goes with the value, as this share of it (already in U); the zones that are certain then go with it too. */
  readonly U_share?: number;
}

/** What items are like before they are measured: normal, assumed by whoever asks. */
export interface Prior {
  readonly sd: number;
  /** The middle of the limits when left out. */
  readonly mean?: number;
}

export interface DecidedItem {
  readonly value: NamedValue;
  readonly decided: DecidedValue;
  /** Half the tolerance over U; null with one limit. */
  readonly tur: number | null;
  readonly capability_index: number | null;
  /** P(true value inside its limits | measured value): what JCGM 106:2012, 7 calls the conformance probability. */
  readonly probability_inside: number;
  /** How many standard uncertainties the value lies inside its nearest limit; below zero outside it. */
  readonly z: number;
  /** Tolerance over that of the standard, where it was stated. */
  readonly tar: number | null;
  /** What may be said with the certainty that was asked for. */
  readonly certain: CertainZones | null;
  readonly global: GlobalRisk | null;
  /** Largest global consumer's risk over all spreads of the items; null with one limit or without a zone. */
  readonly worst_consumer_risk: number | null;
  /** The same for items of which a known share is found within the zone of acceptance, whatever the ratio. */
  readonly worst_risk_at_reliability: number | null;
  /** Other guard bands for the same numbers, by their handbook names (from memory); null with one limit. */
  readonly other_acceptance: Readonly<
    Record<"method_5" | "method_6" | "method_6_multiplier" | "root_difference", number | null>
  > | null;
}

/** What else is asked for beside the verdict. */
export interface Besides {
  readonly prior: Prior | null;
  /** Tolerance of the standard, for the accuracy ratio. */
  readonly standard_limit?: number;
  /** Probability with which a value is to be inside, or outside. */
  readonly certainty?: number;
  /** Share of items that are found within the zone of acceptance. */
  readonly reliability?: number;
}

export interface Decisions {
  readonly unit: string;
  readonly rule: DecisionRule;
  readonly rule_text: string;
  readonly items: readonly DecidedItem[];
}

export const refused = (message: string, remedy: string): Result<never, Fault> =>
  err(fault("refused", "bad-option", message, { remedy }));

const itemOf = (
  value: NamedValue,
  rule: DecisionRule,
  { prior, standard_limit, certainty, reliability }: Besides,
): DecidedItem => {
  const decided = decideValue(value, rule);
  const { lower, upper } = value.limits;
  const half = (upper - lower) / 2;
  const two = Number.isFinite(half);
  const u = value.U / value.k;
  const { acceptance } = decided;
  const middle = two ? lower + half : Number.isFinite(upper) ? upper : lower;
  return {
    value,
    decided,
    tur: two ? testUncertaintyRatio(half, value.U) : null,
    capability_index: two ? capabilityIndex(half, u) : null,
    probability_inside: 1 - decided.probability_outside,
    z: Math.min(upper - value.value, value.value - lower) / u,
    tar: two && standard_limit !== undefined ? testAccuracyRatio(half, standard_limit) : null,
    certain: certainty === undefined ? null : certainZones(value, certainty),
    global:
      prior === null || acceptance === null
        ? null
        : globalRisk({ prior: { mean: prior.mean ?? middle, sd: prior.sd }, u, tolerance: value.limits, acceptance }),
    worst_consumer_risk: two && acceptance !== null ? worstConsumerRisk(half, acceptance.upper - middle, u) : null,
    worst_risk_at_reliability:
      two && acceptance !== null && acceptance.upper > middle && reliability !== undefined
        ? worstRiskAtReliability(half, acceptance.upper - middle, reliability)
        : null,
    other_acceptance: two
      ? {
          method_5: acceptanceByMethod5(half, value.U),
          method_6: acceptanceByMethod6(half, value.U),
          method_6_multiplier: method6Multiplier(half / value.U),
          root_difference: acceptanceByRootDifference(half, value.U),
        }
      : null,
  };
};

/** Values to verdicts, with the risks that go with them. */
export const decideValues = (
  values: readonly NamedValue[],
  rule_words: string,
  besides: Besides,
  unit: string,
): Result<Decisions, Fault> => {
  const { prior } = besides;
  const rule = parseDecisionRule(rule_words);
  if (!rule.ok) return rule;
  if (
    prior !== null &&
    prior.mean === undefined &&
    values.some((v) => !Number.isFinite(v.limits.upper - v.limits.lower))
  ) {
    return refused("With one limit the middle of the items is not known.", "Give --prior-mean beside --prior-sd.");
  }
  return ok({
    unit,
    rule: rule.value,
    rule_text: decisionRuleText(rule.value),
    items: values.map((value) => itemOf(value, rule.value, besides)),
  });
};
