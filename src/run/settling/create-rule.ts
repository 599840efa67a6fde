import type { SettlingChoice } from "../../plan/test-plan.ts";
import { bandRule } from "./rules/band.ts";
import { equivalenceRule } from "./rules/equivalence.ts";
import { fixedDwellRule } from "./rules/fixed-dwell.ts";
import { slopeRule } from "./rules/slope.ts";
import type { SettlingRule } from "./settling-rule.ts";

/** The one place where a choice in the plan becomes a rule. One rule lives through a whole run and may learn in it. */
export const createRule = (choice: SettlingChoice): SettlingRule => {
  switch (choice.rule) {
    case "detector":
      return equivalenceRule(choice);
    case "fixed-dwell":
      return fixedDwellRule(choice);
    case "band":
      return bandRule(choice);
    case "slope":
      return slopeRule(choice);
  }
};
