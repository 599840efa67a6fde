import type { Block } from "../block.ts";
import { exactDecimal } from "../exact-decimal.ts";
import { body, type SectionBuilder, type SectionContext } from "./section-context.ts";

/** What follows from the record as a whole, besides the single happenings in it. */
export const overallDeviations = ({ input, texts, print, shown }: SectionContext): string[] => {
  const { ending, header } = input.record;
  const lines: string[] = [];
  if (ending === null) lines.push(texts.noEnding);
  else if (ending.ending !== "finished") {
    lines.push(texts.notFinished(texts.endings[ending.ending], ending.fault?.message ?? ""));
  }
  const points = shown.flatMap((s) => s.result.analysis.points);
  if (points.length > 0 && points.every((p) => p.cycle === 1)) lines.push(texts.singleCycle);
  if (points.length > 0 && new Set(points.map((p) => p.direction)).size === 1) lines.push(texts.oneDirection);
  if (header.clock === "virtual") lines.push(texts.virtualClock);
  if (header.clock === "accelerated") lines.push(texts.fasterClock(print.number(exactDecimal(header.clock_factor, 0))));
  return lines;
};

export const deviations: SectionBuilder = (context) => {
  const { input, texts } = context;
  const lines = overallDeviations(context);
  const happened = input.record.deviations;
  const blocks: Block[] = [];
  if (lines.length === 0 && happened.length === 0) blocks.push({ kind: "paragraph", text: texts.noDeviations });
  if (lines.length > 0) blocks.push({ kind: "list", items: lines });
  if (happened.length > 0) {
    blocks.push({
      kind: "table",
      caption: texts.deviationsCaption,
      columns: [
        { title: texts.entry, unit: null, align: "centre", weight: 8 },
        { title: texts.timeUtc, unit: texts.utc, align: "left", weight: 20 },
        { title: texts.what, unit: null, align: "left", weight: 72 },
      ],
      rows: happened.map((d) => ({ cells: [String(d.seq), d.utc.slice(0, 19).replace("T", " "), d.text] })),
    });
  }
  return body("deviations", texts.deviationsHeading, blocks);
};
