import { roundToPlace } from "../../uncertainty/rounding.ts";
import { body, type SectionBuilder } from "./section-context.ts";

/** Cautions where the certificate is read: before the converter is fitted again. */
export const beforeUse: SectionBuilder = ({ input, texts, print, adjusted }) => {
  const left = input.record.source_left.at(-1);
  const [fitting = "", afterAdjustment = "", local = ""] = texts.cautions;
  const items = [fitting, ...(adjusted ? [afterAdjustment] : []), local];
  if (left?.outcome === "unknown") items.unshift(texts.sourceUnknown(left.reason ?? texts.notStated));
  return body("before-use", texts.beforeUseHeading, [
    { kind: "caution", heading: texts.caution, items },
    ...(left?.outcome === "safe" && left.current_mA !== null
      ? [
          {
            kind: "paragraph" as const,
            text: texts.sourceLeft(print.quantity(roundToPlace(left.current_mA, -3), "mA")),
          },
        ]
      : []),
  ]);
};
