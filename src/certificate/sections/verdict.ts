import type { VerdictPanel } from "../block.ts";
import { ordinalRanges } from "../ordinal-ranges.ts";
import {
  customerUnit,
  front,
  percentOf,
  type SectionBuilder,
  type SectionContext,
  type ShownStage,
} from "./section-context.ts";

/** Two pressures beside each other: the SI value first, then the customer's unit. */
const both = (context: SectionContext, kPaText: string, customerText: string | null): string => {
  const si = context.print.quantity(kPaText, "kPa");
  return customerText === null ? si : `${si} = ${context.print.quantity(customerText, customerUnit(context.input))}`;
};

const panel = (context: SectionContext, shown: ShownStage): VerdictPanel => {
  const { texts, print, input } = context;
  const { rounded } = shown;
  const lines: string[] = [];
  const worst = rounded.worst;
  if (worst !== null) {
    lines.push(
      texts.greatestError(
        both(context, worst.in_kPa.error, worst.in_customer_unit?.error ?? null),
        percentOf(print, worst.error_percent_span, "%"),
        print.quantity(worst.nominal_mA, "mA"),
        texts.directionWords[worst.direction],
      ),
    );
    if (worst.in_kPa.U === null || worst.k === null) lines.push(texts.noUncertainty);
    else {
      lines.push(
        texts.uncertaintyOfIt(both(context, worst.in_kPa.U, worst.in_customer_unit?.U ?? null), print.number(worst.k)),
      );
    }
    if (worst.in_kPa.limit !== null) {
      lines.push(
        texts.limitLine(both(context, worst.in_kPa.limit, worst.in_customer_unit?.limit ?? null), limitWords(context)),
      );
    }
  }
  const outside = ordinalRanges(
    rounded.points.filter((p) => p.word !== "pass" && p.word !== "no-statement").map((p) => p.ordinal),
  );
  if (outside.length > 0) {
    lines.push(texts.pointsOutside(outside));
  }
  const gaps = input.record.stages.findLast((s) => s.stage === shown.stage)?.missing ?? [];
  if (gaps.length > 0) lines.push(texts.pointsWithoutReading(ordinalRanges(gaps.map((p) => p.ordinal))));
  const unsaid = ordinalRanges(rounded.points.filter((p) => p.word === "no-statement").map((p) => p.ordinal));
  if (unsaid.length > 0) lines.push(texts.withoutStatement(unsaid));
  return { stage: shown.title, word: texts.words[rounded.word], shape: rounded.word, lines };
};

const limitWords = (context: SectionContext): string => {
  const tolerance = context.input.unit.tolerance;
  if (tolerance.kind === "percent-of-span")
    return `${context.print.exact(tolerance.percent, context.texts.ofSpan, -1)}`;
  if (tolerance.kind === "percent-of-reading") {
    return `${context.print.exact(tolerance.percent, context.texts.ofReading, -1)}`;
  }
  return context.print.exact(tolerance.written, tolerance.unit, -1);
};

/** Why as-found results are not there, in the words of whoever handed them in, or as far as the record tells it. */
const asFoundReason = (context: SectionContext): string => {
  const { input, texts } = context;
  const unsettled = input.record.stages.find((s) => s.stage === "as-found")?.unsettled[0];
  return (
    input.noAsFound ?? unsettled?.fault.message ?? input.record.ending?.fault?.message ?? texts.noAsFoundWithoutReason
  );
};

export const verdict: SectionBuilder = (context) => {
  const { texts, input, shown } = context;
  const panels = shown.map((s) => panel(context, s));
  if (input.asFound === undefined) {
    panels.unshift({
      stage: texts.asFound,
      word: texts.words["no-statement"],
      shape: "no-statement",
      lines: [texts.noAsFound(asFoundReason(context))],
    });
  }
  if (context.adjusted && input.asLeft === undefined) {
    panels.push({
      stage: texts.asLeft,
      word: texts.words["no-statement"],
      shape: "no-statement",
      lines: [texts.noAsLeft],
    });
  }
  return front("verdict", null, [{ kind: "verdicts", panels }]);
};
