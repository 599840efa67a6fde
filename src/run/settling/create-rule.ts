import type { SettlingChoice } from "../../plan/test-plan.ts";
import { createDetector } from "./detector.ts";
import { bandRule } from "./rules/band.ts";
import { equivalenceRule } from "./rules/equivalence.ts";
import { fixedDwellRule } from "./rules/fixed-dwell.ts";
import { slopeRule } from "./rules/slope.ts";
import type { SettlingRule } from "./settling-rule.ts";

export interface GaugeFacts {
  /** Display digit of the gauge, % of output span; null: not known, learn it. */
  readonly resolution_percent: number | null;
}

/** The one place where a choice in the plan becomes a rule. One rule lives through a whole run and may learn in it. */
export const createRule = (choice: SettlingChoice, gauge: GaugeFacts = { resolution_percent: null }): SettlingRule => {
  switch (choice.rule) {
    case "detector":
      return createDetector({
        limit: choice.limit_percent,
        gamma: choice.gamma,
        timeout_s: choice.timeout_s,
        minimumDwell_s: choice.minimum_dwell_s,
        resolution: gauge.resolution_percent,
      });
    case "fixed-dwell":
      return fixedDwellRule(choice);
    case "band":
      return bandRule(choice);
    case "slope":
      return slopeRule(choice);
  }
};

/**
 * The rule while adjusting. What is read there guides a screw and is no result, so the detector is not waited for: a
 * drift below twice its limit over ten seconds is enough. The detector watches all the same, because what it knows of
 * the unit's late creep has to count these moves as well.
 */
export const createAdjustingRule = (choice: SettlingChoice, rule: SettlingRule): SettlingRule => {
  if (choice.rule !== "detector") return rule;
  const quick = equivalenceRule({ ...choice, limit_percent: 2 * choice.limit_percent, minimum_dwell_s: 0 });
  return {
    begin: (start) => {
      rule.begin(start);
      quick.begin(start);
    },
    take: (sample) => {
      rule.take(sample);
      return quick.take(sample);
    },
    learned: () => rule.learned(),
  };
};
