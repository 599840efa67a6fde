import { roundToPlace } from "../../uncertainty/rounding.ts";
import type { Block } from "../block.ts";
import { exactDecimal } from "../exact-decimal.ts";
import { body, type SectionBuilder } from "./section-context.ts";

export const adjustment: SectionBuilder = ({ input, texts, print }) => {
  const { adjustments } = input.record;
  if (adjustments.length === 0) {
    return body("adjustment", texts.adjustmentHeading, [{ kind: "paragraph", text: texts.noAdjustment }]);
  }
  const mode = texts.modes[input.unit.output.mode];
  const blocks = adjustments.flatMap((a): Block[] => {
    const said: Block[] =
      a.ending === null
        ? [{ kind: "paragraph", text: texts.adjustmentUnfinished }]
        : [
            { kind: "paragraph", text: texts.adjustmentOutcome[a.ending.outcome] },
            { kind: "paragraph", text: texts.adjustmentRecordSays(a.ending.why) },
          ];
    if (a.turns.length === 0) return said;
    const pressure = (title: string) => ({ title, unit: `kPa ${mode}`, align: "decimal" as const, weight: 16 });
    return [
      ...said,
      {
        kind: "table",
        caption: texts.turnsCaption,
        columns: [
          { title: texts.point, unit: null, align: "centre", weight: 8 },
          { title: texts.screw, unit: null, align: "left", weight: 12 },
          { title: texts.at, unit: "mA", align: "decimal", weight: 14 },
          pressure(texts.target),
          pressure(texts.before),
          pressure(texts.after),
        ],
        rows: a.turns.map((t, i) => ({
          cells: [
            String(i + 1),
            texts.screws[t.screw],
            print.number(exactDecimal(t.at_mA, -3)),
            print.number(roundToPlace(t.target_kPa, -3)),
            print.number(roundToPlace(t.before_kPa, -3)),
            print.number(roundToPlace(t.after_kPa, -3)),
          ],
        })),
        ...(a.turns.some((t) => t.by === "lift-off") ? { notes: [texts.turnsByLiftOff] } : {}),
      },
    ];
  });
  return body("adjustment", texts.adjustmentHeading, blocks);
};
