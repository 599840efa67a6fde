import { roundToPlace } from "../../uncertainty/rounding.ts";
import { front, type SectionBuilder, type SectionContext } from "./section-context.ts";

/** Coverage, for all points together or, when k differs, point by point. */
export const coverageText = (context: SectionContext): string | null => {
  const { shown, texts, print } = context;
  const stages = shown.map((s) => s.rounded).filter((r) => r.coverage_percent !== null);
  const first = stages[0];
  if (first === undefined || first.coverage_percent === null) return null;
  const probability = print.quantity(first.coverage_percent, "%");
  const factors = new Set(stages.flatMap((s) => s.points.map((p) => p.k)));
  const [k] = factors;
  return factors.size === 1 && k !== null && k !== undefined
    ? texts.coverage(print.number(k), probability)
    : texts.coverageVaries(probability);
};

/** Error and U are in one quantity, and how the current became a pressure. */
const sameQuantity = ({ input, texts, print }: SectionContext): string => {
  const { input: signal, output, characteristic } = input.unit;
  const sign = input.unit.action === "direct" ? 1 : -1;
  const slope = (sign * (output.upper.kPa - output.lower.kPa)) / (signal.upper.mA - signal.lower.mA);
  return characteristic === "linear"
    ? texts.sameQuantity(print.quantity(roundToPlace(slope, -3), "kPa/mA"))
    : texts.sameQuantityCurve;
};

export const statements: SectionBuilder = (context) => {
  const { input, texts, shown } = context;
  const items: string[] = [];
  const covers = coverageText(context);
  if (covers !== null) items.push(covers);
  const rule = shown[0]?.result.verdict;
  if (rule !== undefined) {
    items.push(texts.decisionRule(texts.ruleText(rule.rule, rule.rule_text)).replaceAll(" = ", "\u00A0=\u00A0"));
    if (rule.rule.rule === "simple" && !/50 ?%/.test(rule.rule_text)) items.push(texts.simpleRisk);
    items.push(`${texts.judgedUnrounded} ${sameQuantity(context)}`);
  }
  items.push(`${texts.onlyThisItem} ${texts.notInPart}`);
  if (input.bindingLanguage !== undefined) items.push(texts.binding(texts.languages[input.bindingLanguage]));
  return front("statements", texts.statementsHeading, [{ kind: "list", items }]);
};
