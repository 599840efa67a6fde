import type { Interval } from "../decision/global-risk.ts";
import { WORDS } from "./analyse-text.ts";
import type { DecidedItem, Decisions } from "./decide-values.ts";
import { riskText, shortNumber, textTable, wrapped } from "./text-table.ts";

/** What `decide` prints. */

const zone = ({ lower, upper }: Interval, unit: string): string => {
  const after = unit === "" ? "" : ` ${unit}`;
  if (!Number.isFinite(lower)) return `up to ${shortNumber(upper)}${after}`;
  if (!Number.isFinite(upper)) return `from ${shortNumber(lower)}${after}`;
  return `${shortNumber(lower)} to ${shortNumber(upper)}${after}`;
};

const wordOf = (item: DecidedItem): string =>
  item.decided.word === "no-statement" ? "no statement: U leaves no zone of acceptance" : WORDS[item.decided.word];

const certainLines = ({ certain }: DecidedItem, unit: string): readonly string[] => {
  if (certain === null) return [];
  const after = unit === "" ? "" : ` ${unit}`;
  const { inside, outside, probability } = certain;
  const ends = [
    ...(Number.isFinite(outside.below) ? [`below ${shortNumber(outside.below)}${after}`] : []),
    ...(Number.isFinite(outside.above) ? [`above ${shortNumber(outside.above)}${after}`] : []),
  ];
  return [
    `  with at least ${shortNumber(100 * probability)} % inside: ${inside === null ? "no value" : zone({ lower: inside.from, upper: inside.up_to }, unit)}; outside: ${ends.join(", ")}`,
  ];
};

/** A zone that ends below its middle is none. */
const distance = (acceptance: number | null): string =>
  acceptance === null || acceptance < 0 ? "none" : shortNumber(acceptance);

const oneItem = (item: DecidedItem, unit: string): readonly string[] => {
  const {
    value,
    decided,
    tur,
    tar,
    z,
    probability_inside,
    capability_index,
    global,
    worst_consumer_risk,
    worst_risk_at_reliability,
    other_acceptance,
  } = item;
  const after = unit === "" ? "" : ` ${unit}`;
  const rejected = decided.word === "fail" || decided.word === "conditional-fail";
  return [
    `value ${shortNumber(value.value)}${after}, limits ${zone(value.limits, unit)}, U = ${shortNumber(value.U)}${after} (k = ${shortNumber(value.k)}${Number.isFinite(value.degrees_of_freedom) ? `, ${shortNumber(value.degrees_of_freedom)} degrees of freedom` : ""})`,
    "",
    `Verdict: ${wordOf(item)}`,
    `  accepted: ${decided.acceptance === null ? "nothing" : `${zone(decided.acceptance, unit)}, both included`}`,
    `  probability that the true value is outside its limits, given this value: ${riskText(decided.probability_outside)}`,
    ...(decided.word === "no-statement"
      ? []
      : [
          `  specific risk of this verdict being wrong (${rejected ? "inside after all" : "outside after all"}): ${riskText(decided.specific_risk)}`,
        ]),
    `  probability that it is inside: ${riskText(probability_inside)}; the value lies ${shortNumber(Math.abs(z), 4)} standard uncertainties ${z < 0 ? "beyond" : "inside"} the nearest limit`,
    ...certainLines(item, unit),
    ...(tar === null
      ? []
      : [`  test accuracy ratio, half the tolerance over that of the standard: ${shortNumber(tar, 4)}`]),
    ...(tur === null ? [] : [`  test uncertainty ratio, half the tolerance over U: ${shortNumber(tur, 4)}`]),
    ...(capability_index === null
      ? []
      : [`  measurement capability index, half the tolerance over 2u: ${shortNumber(capability_index, 4)}`]),
    ...(worst_consumer_risk === null
      ? []
      : [
          `  global risk of a wrong pass, at most, whatever the spread of the items about the middle: ${riskText(worst_consumer_risk)}`,
        ]),
    ...(worst_risk_at_reliability === null
      ? []
      : [`  the same, from the observed reliability alone: ${riskText(worst_risk_at_reliability)}`]),
    ...(global === null
      ? []
      : [
          ...wrapped(`Global risks: ${global.stated}:`, "  "),
          `    item conforms ${riskText(global.conforming)}, item accepted ${riskText(global.accepted)}`,
          `    consumer's: accepted and yet outside ${riskText(global.consumer)}`,
          `    producer's: rejected and yet inside ${riskText(global.producer)}`,
        ]),
    ...(other_acceptance === null
      ? []
      : [
          `  acceptance by other guard bands (ANSI/NCSL Z540.3 handbook, from memory), distance from the middle: method 5 ${distance(other_acceptance.method_5)}, method 6 ${distance(other_acceptance.method_6)}, root difference ${distance(other_acceptance.root_difference)}`,
        ]),
  ];
};

const manyItems = (items: readonly DecidedItem[]): readonly string[] => [
  ...textTable([
    ["name", "value", "limits", "U", "accepted", "verdict", "specific risk", "outside", "ratio"],
    ...items.map((item) => [
      item.value.name,
      shortNumber(item.value.value),
      zone(item.value.limits, ""),
      shortNumber(item.value.U),
      item.decided.acceptance === null ? "nothing" : zone(item.decided.acceptance, ""),
      WORDS[item.decided.word],
      item.decided.word === "no-statement" ? "-" : riskText(item.decided.specific_risk),
      riskText(item.decided.probability_outside),
      item.tur === null ? "-" : shortNumber(item.tur, 4),
    ]),
  ]),
  ...items.flatMap(({ value, global }) =>
    global === null
      ? []
      : [
          `${value.name}: global risks: consumer's ${riskText(global.consumer)}, producer's ${riskText(global.producer)} (${global.stated})`,
        ],
  ),
];

export const decisionsText = ({ unit, rule_text, items }: Decisions): string => {
  const [only, another] = items;
  return [
    ...(only !== undefined && another === undefined ? oneItem(only, unit) : manyItems(items)),
    "",
    ...wrapped(rule_text, ""),
    ...wrapped(
      "Everything is worked out from the numbers as given, unrounded; the measured value is taken as normal, or as t where degrees of freedom are given.",
      "",
    ),
  ].join("\n");
};

export const decisionsJson = ({ unit, rule, rule_text, items }: Decisions) => ({
  format: "stillpoint-decisions 1",
  unit,
  rule,
  rule_text,
  items: items.map(({ value, decided, ...more }) => ({ ...value, ...decided, ...more })),
});
