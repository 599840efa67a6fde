import type { Figure } from "../../analysis/analysis.ts";
import { roundToPlace } from "../../uncertainty/rounding.ts";
import type { Block } from "../block.ts";
import { exactDecimal } from "../exact-decimal.ts";
import type { SectionContext, ShownStage } from "./section-context.ts";

/** Figures take the digits of the largest U of their stage: they are made of the same readings. */
const figurePlace = (f: Figure, shown: ShownStage): number => {
  const decimals = (text: string | null | undefined): number => (text?.split(".")[1] ?? "").length;
  const points = shown.rounded.points;
  if (f.unit === "kPa") return -Math.min(...points.map((p) => (p.in_kPa.U === null ? 3 : decimals(p.in_kPa.U))), 4);
  if (f.unit.startsWith("%")) {
    return -Math.min(...points.map((p) => (p.U_percent_span === null ? 3 : decimals(p.U_percent_span))), 4);
  }
  if (f.unit === "kPa/mA" || f.unit === "mA") return -4;
  return -3;
};

const unitText = (context: SectionContext, unit: Figure["unit"]): string => {
  const { texts } = context;
  if (unit === "%span") return texts.ofSpan;
  if (unit === "%reading") return texts.ofReading;
  if (unit === "%input-span") return texts.ofInputSpan;
  if (unit === "%ideal-slope") return texts.ofIdealSlope;
  return unit;
};

export const figuresTable = (context: SectionContext, shown: ShownStage): Block | null => {
  const { texts, print } = context;
  const { figures, remarks } = shown.result.analysis;
  if (figures.length === 0) return null;
  return {
    kind: "table",
    caption: texts.figuresCaption,
    columns: [
      { title: texts.figure, unit: null, align: "left", weight: 24 },
      { title: texts.value, unit: texts.unitBeside, align: "decimal", weight: 11 },
      { title: texts.unitTitle, unit: null, align: "left", weight: 11 },
      { title: texts.at, unit: texts.ofSpan, align: "decimal", weight: 9 },
      { title: texts.meaning, unit: null, align: "left", weight: 60 },
    ],
    rows: figures.map((f) => ({
      cells: [
        texts.figureName(f.id, f.name),
        Number.isFinite(f.value) ? print.number(roundToPlace(f.value, figurePlace(f, shown))) : "–",
        unitText(context, f.unit),
        f.at_percent === undefined ? "" : print.number(exactDecimal(f.at_percent, 0)),
        texts.figureDefinition(f.id, f.definition, f.source),
      ],
    })),
    ...(remarks.length === 0 ? {} : { notes: remarks.map((r) => `${texts.remark}: ${r}`) }),
  };
};
