import type { Figure } from "../../analysis/analysis.ts";
import type { Column } from "../block.ts";
import { body, type SectionBuilder, type SectionContext, type ShownStage } from "./section-context.ts";

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

/** What a source says of itself when its standard was not at hand: on paper one note for all of them. */
const RECALLED = /; \w+ recalled, not read in the \w+$/;

/** Every figure with its meaning once, and its value in each stage beside the other. */
export const figures: SectionBuilder = (context) => {
  const { texts, print, shown } = context;
  const all = new Map(shown.flatMap((s) => s.result.analysis.figures.map((f) => [f.id, f] as const)));
  if (all.size === 0) return null;
  const find = (s: ShownStage, id: Figure["id"]) => s.rounded.figures.find((f) => f.id === id);
  const value = (s: ShownStage, id: Figure["id"]): string => {
    const text = find(s, id)?.value ?? null;
    return text === null ? "–" : print.number(text);
  };
  const place = (s: ShownStage, id: Figure["id"]): string => {
    const text = find(s, id)?.at_percent ?? null;
    return text === null ? "" : print.number(text);
  };
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
          ...shown.flatMap((s) => [value(s, f.id), place(s, f.id)]),
          unitText(context, f.unit),
          texts.figureDefinition(f.id, f.definition, f.source.replace(RECALLED, "°")),
        ],
      })),
      notes: [
        ...([...all.values()].some((f) => RECALLED.test(f.source)) ? [texts.recalledNote] : []),
        ...shown.flatMap(({ title, result: { analysis } }) =>
          (analysis.keyed_remarks?.map(texts.stageRemark) ?? analysis.remarks).map((r) => texts.remark(title, r)),
        ),
      ],
    },
  ]);
};
