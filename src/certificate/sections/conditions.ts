import { roundToPlace } from "../../uncertainty/rounding.ts";
import type { Block, Row } from "../block.ts";
import { body, type SectionBuilder } from "./section-context.ts";

/** Smallest and largest of the values that are there; null when there is none. */
const rangeOf = (values: readonly (number | null)[]): readonly [number, number] | null => {
  const known = values.filter((v): v is number => v !== null && Number.isFinite(v));
  return known.length === 0 ? null : [Math.min(...known), Math.max(...known)];
};

export const conditions: SectionBuilder = ({ input, texts, print }) => {
  const points = input.record.stages.flatMap((s) => s.points);
  const row = (
    name: string,
    unit: string,
    range: readonly [number, number] | null | undefined,
    place: number,
    from: string,
  ): Row => ({
    cells:
      range === null || range === undefined
        ? [name, "–", "–", unit, texts.notRecorded]
        : [name, print.number(roundToPlace(range[0], place)), print.number(roundToPlace(range[1], place)), unit, from],
  });
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
    rows: [
      row(texts.ambient, "°C", rangeOf(points.map((p) => p.ambient_degC)), -1, texts.fromRecord),
      row(texts.humidity, "%", input.room?.humidity_percent, 0, texts.fromRoom),
      row(texts.airPressure, "hPa", input.room?.pressure_hPa, 0, texts.fromRoom),
      row(texts.supplyPressure, `kPa ${gauge}`, rangeOf(points.map((p) => p.supply_kPa)), -1, texts.fromRecord),
    ],
  };
  const longest = rangeOf(points.map((p) => p.settle_time_s));
  const sentences = [
    texts.exercised(input.record.exercised.length),
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
