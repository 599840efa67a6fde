import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import type { DecisionRule } from "./verdict.ts";

/** Decision rules as short text, for files and options: `simple`, `guarded 0.83`, `four-words`, `target-risk 2 %`. */

const NUMBER = /^[+-]?\d+(?:\.\d+)?$/u;

const refused = (text: string, why: string): Result<DecisionRule, Fault> =>
  err(
    fault("refused", "bad-option", `"${text}" is not a decision rule: ${why}.`, {
      means: "Without a rule nothing can be said to pass or fail.",
      remedy: 'Write "simple", "guarded", "guarded 0.83", "four-words" or "target-risk 2 %".',
    }),
  );

const withShare = (text: string, rule: "guarded" | "four-words", rest: string): Result<DecisionRule, Fault> => {
  if (rest === "") return ok({ rule, share_of_U: 1 });
  const number = rest.replace(/\s*U$/u, "");
  if (!NUMBER.test(number)) return refused(text, `"${rest}" is not a share of U`);
  const share_of_U = Number(number);
  const lowest = rule === "guarded" ? -1 : 0;
  if (share_of_U < lowest || share_of_U > 3) return refused(text, `the share of U lies between ${lowest} and 3`);
  return ok({ rule, share_of_U });
};

const withRisk = (text: string, rest: string): Result<DecisionRule, Fault> => {
  const [, number = "", percent] = /^(\S+?)\s*(%?)$/u.exec(rest) ?? [];
  if (!NUMBER.test(number)) return refused(text, "the risk is missing");
  // Shifted as decimal text: 0.07 / 100 is not 0.0007.
  const risk = Number(percent === "%" ? `${number}e-2` : number);
  if (!(risk > 0 && risk < 0.5)) return refused(text, "the risk lies above 0 % and below 50 %");
  return ok({ rule: "target-risk", risk });
};

/** Rule text to rule. The share of U defaults to 1; -1 in `guarded -1` rejects only above the limit plus U. */
export const parseDecisionRule = (text: string): Result<DecisionRule, Fault> => {
  const [word = "", ...more] = text.trim().split(/\s+/u);
  const rest = more.join(" ");
  switch (word) {
    case "simple":
      return rest === "" ? ok({ rule: "simple" }) : refused(text, "simple acceptance has no figure");
    case "guarded":
    case "four-words":
      return withShare(text, word, rest);
    case "target-risk":
      return withRisk(text, rest);
    default:
      return refused(text, "the name of the rule is not known");
  }
};

/** The shortest text that reads back as the same rule. */
export const printDecisionRule = (rule: DecisionRule): string => {
  switch (rule.rule) {
    case "simple":
      return "simple";
    case "guarded":
    case "four-words":
      return rule.share_of_U === 1 ? rule.rule : `${rule.rule} ${rule.share_of_U}`;
    case "target-risk":
      return `target-risk ${percentText(rule.risk)} %`;
  }
};

/** A share as percent, without the digits that multiplying by 100 leaves behind. */
const percentText = (share: number): string => {
  const percent = Number((100 * share).toPrecision(15));
  return Number(`${percent}e-2`) === share ? String(percent) : String(100 * share);
};

const CLOSED = "An error exactly on a limit is within it (JCGM 106:2012)";

const bound = (share: number): string => {
  if (share === 1) return ", so that the risk of a wrong pass is below 2.5 % at each point (k = 2, one limit)";
  if (share === 0.83) return ", so that the risk of a wrong pass is below 5 % at each point (k = 2, one limit)";
  return "";
};

/** One sentence or two for the certificate: rule, guard band, convention on the limit, risk. */
export const decisionRuleText = (rule: DecisionRule): string => {
  switch (rule.rule) {
    case "simple":
      return (
        "Simple acceptance without a guard band (ILAC-G8:09/2019, 4.2.1): a point passes when its error is within the " +
        `limit. The risk of a wrong decision is up to 50 % for an error at the limit. ${CLOSED}.`
      );
    case "guarded":
      return guardedText(rule.share_of_U);
    case "four-words": {
      const w = times(rule.share_of_U);
      return (
        `Four statements with a guard band w of ${w} (ILAC-G8:09/2019, 4.2.3): pass up to the limit less w, ` +
        "conditional pass up to the limit, conditional fail up to the limit plus w, fail beyond it" +
        `${bound(rule.share_of_U)}. ${CLOSED}; the same holds for the other two boundaries.`
      );
    }
    case "target-risk":
      return (
        "Guarded acceptance with a chosen risk (JCGM 106:2012, 8.3.2): a point passes when the probability that its " +
        `true error lies outside the limits is at most ${percentText(rule.risk)} %, given its measured error and its ` +
        `own uncertainty. ${CLOSED}.`
      );
  }
};

const times = (share: number): string => (share === 1 ? "U" : `${share} U`);

const guardedText = (share: number): string => {
  if (share < 0) {
    return (
      "Guarded rejection (ILAC-G8:09/2019, table 1): a point fails only when its error is beyond the limit by more " +
      `than ${times(-share)}; the risk of a wrong pass can be above 50 %. ${CLOSED}.`
    );
  }
  return (
    `Guarded acceptance with a guard band of ${times(share)} (ILAC-G8:09/2019, 4.2.2): a point passes when its ` +
    `error is within the limit less ${times(share)}${bound(share)}; otherwise it fails. ${CLOSED}.`
  );
};
