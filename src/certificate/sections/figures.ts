import type { Figure } from "../../analysis/analysis.ts";
import { roundToPlace } from "../../uncertainty/rounding.ts";
import type { Column } from "../block.ts";
import { exactDecimal } from "../exact-decimal.ts";
import { body, type SectionBuilder, type SectionContext, type ShownStage } from "./section-context.ts";

const decimals = (text: string | null): number => (text?.split(".")[1] ?? "").length;

/** Figures take the digits of U at the points: they are made of the same readings. */
const figurePlace = (unit: Figure["unit"], shown: ShownStage): number => {
  const points = shown.rounded.points;
  if (unit === "kPa") return -Math.min(...points.map((p) => (p.in_kPa.U === null ? 3 : decimals(p.in_kPa.U))), 4);
  if (unit.startsWith("%")) {
    return -Math.min(...points.map((p) => (p.U_percent_span === null ? 3 : decimals(p.U_percent_span))), 4);
  }
  return unit === "1" ? -3 : -4;
};

const unitText = ({ texts }: SectionContext, unit: Figure["unit"]): string => {
  switch (unit) {
    case "%span":
      return texts.ofSpan;
    case "%reading":
      return texts.ofReading;
    case "%input-span":
      return texts.ofInputSpan;
    case "%ideal-slope":
      return texts.ofIdealSlope;
    default:
      return unit;
  }
};

/** Every figure with its meaning once, and its value in each stage beside the other. */
export const figures: SectionBuilder = (context) => {
  const { texts, print, shown } = context;
  const all = new Map(shown.flatMap((s) => s.result.analysis.figures.map((f) => [f.id, f] as const)));
  if (all.size === 0) return null;
  const find = (s: ShownStage, id: Figure["id"]) => s.result.analysis.figures.find((f) => f.id === id);
  const value = (s: ShownStage, f: Figure | undefined): string =>
    f === undefined || !Number.isFinite(f.value) ? "–" : print.number(roundToPlace(f.value, figurePlace(f.unit, s)));
  const place = (f: Figure | undefined): string =>
    f?.at_percent === undefined ? "" : print.number(exactDecimal(f.at_percent, 0));
  const stageColumns = shown.flatMap((s): Column[] => [
    { title: s.title, unit: { inColumn: texts.unitTitle }, align: "decimal", weight: 10.5 },
    { title: texts.at, unit: texts.ofSpan, align: "decimal", weight: 7.5 },
  ]);
  return body("figures", texts.figuresHeading, [
    {
      kind: "table",
      caption: texts.figuresCaption,
      columns: [
        { title: texts.figure, unit: null, align: "left", weight: 21 },
        ...stageColumns,
        { title: texts.unitTitle, unit: null, align: "left", weight: 10.5 },
        { title: texts.meaning, unit: null, align: "left", weight: 58, small: true },
      ],
      rows: [...all.values()].map((f) => ({
        cells: [
          texts.figureName(f.id, f.name),
          ...shown.flatMap((s) => [value(s, find(s, f.id)), place(find(s, f.id))]),
          unitText(context, f.unit),
          texts.figureDefinition(f.id, f.definition, f.source),
        ],
      })),
      notes: shown.flatMap((s) => s.result.analysis.remarks.map((r) => texts.remark(s.title, r))),
    },
  ]);
};
