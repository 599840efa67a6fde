import { roundToPlace } from "../../uncertainty/rounding.ts";
import type { Block } from "../block.ts";
import { conditionRanges, rangeOf } from "../condition-ranges.ts";
import { statedSettling } from "../settling-stated.ts";
import { body, type SectionBuilder } from "./section-context.ts";

export const conditions: SectionBuilder = ({ input, texts, print }) => {
  const points = input.record.stages.flatMap((s) => s.points);
  const names = {
    ambient: texts.ambient,
    humidity: texts.humidity,
    "air-pressure": texts.airPressure,
    supply: texts.supplyPressure,
  };
  const gauge = texts.modes.gauge;
  const table: Block = {
    kind: "table",
    caption: texts.conditionsCaption,
    columns: [
      { title: texts.quantity, unit: null, align: "left", weight: 26 },
      { title: texts.lowest, unit: { inColumn: texts.unitTitle }, align: "decimal", weight: 14 },
      { title: texts.highest, unit: { inColumn: texts.unitTitle }, align: "decimal", weight: 14 },
      { title: texts.unitTitle, unit: null, align: "left", weight: 14 },
      { title: texts.from, unit: null, align: "left", weight: 32 },
    ],
    rows: conditionRanges(input).map(({ id, unit, range, from }) => {
      const symbol = id === "supply" ? `${print.unit(unit)} ${gauge}` : print.unit(unit);
      return {
        cells:
          range === null
            ? [names[id], "–", "–", symbol, texts.notRecorded]
            : [
                names[id],
                print.number(range.lowest),
                print.number(range.highest),
                symbol,
                from === "record" ? texts.fromRecord : texts.fromRoom,
              ],
      };
    }),
  };
  const longest = rangeOf(points.map((p) => p.settle_time_s));
  const rule = statedSettling(input.record.header.plan);
  const sentences = [
    texts.exercised(input.record.exercised.length),
    ...(rule === null ? [] : [texts.settlingRule(rule, (value, unit) => print.exact(value, unit, 0))]),
    ...(longest === null ? [] : [texts.settled(print.quantity(roundToPlace(longest[1], 0), "s"))]),
    ...(input.conditions ?? []),
    ...follows(input.record.header.plan),
  ];
  return body("conditions", texts.conditionsHeading, [table, { kind: "list", items: sentences }]);
};

/** Which written rules the plan follows and where it deviates, as the plan in the record says it. */
const follows = (plan: unknown): readonly string[] => {
  if (typeof plan !== "object" || plan === null || !("follows" in plan) || !Array.isArray(plan.follows)) return [];
  return plan.follows.filter((line): line is string => typeof line === "string");
};
