import { type Fault, fault } from "../vocabulary/fault.ts";
import type { SettlingVerdict } from "./settling/settling-rule.ts";

const VOID = "No reading was recorded for this point.";

/** Why a point has no reading, in words; null for a verdict that is none of the refusals. */
export const verdictFault = (verdict: SettlingVerdict, where: string): Fault | null => {
  switch (verdict.kind) {
    case "hunting":
      return fault(
        "unit",
        "hunting",
        `The output hunts at ${where}: it swings ${verdict.amplitude.toFixed(3)} % of span either way about every ${verdict.period_s.toFixed(1)} s.`,
        { means: VOID, remedy: "Look for too little volume, a worn pilot or an unsteady supply." },
      );
    case "drifting":
      return fault(
        "unit",
        "drifting",
        `The output drifts at ${where} by ${verdict.rate_per_min.toFixed(3)} % of span per minute.`,
        { means: VOID, remedy: "Look for a leak, a unit that is not warm yet, or a regulator that creeps." },
      );
    case "not-settled":
      return fault(
        "unit",
        "not-settled",
        `The output did not stand still at ${where} within ${verdict.waited_s.toFixed(0)} s.`,
        {
          means: VOID,
          remedy: "Look for a leak or a slow unit; a longer time limit can be set in the plan.",
        },
      );
    case "no-new-data":
      return fault(
        "communication",
        "no-new-data",
        `The gauge gave no new value at ${where} for ${verdict.for_s.toFixed(1)} s.`,
        {
          means: VOID,
          remedy: "Check the gauge, its cable and its power.",
        },
      );
    case "moving":
    case "settling":
    case "settled":
      return null;
  }
};

/** Everything the rule said, flat, for the record. */
export const verdictRecord = (
  verdict: SettlingVerdict,
): { kind: string; said: Record<string, string | number | null> } => {
  const { kind, ...said } = verdict;
  return { kind, said };
};
