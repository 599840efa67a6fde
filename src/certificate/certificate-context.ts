import type { CertificateInput } from "./certificate-input.ts";
import { missingForIssue } from "./issue-check.ts";
import { roundedStage } from "./rounded-results.ts";
import {
  customerUnit,
  makePrint,
  type SectionContext,
  type ShownStage,
  type Status,
} from "./sections/section-context.ts";
import { textsFor } from "./texts/index.ts";

const shownStages = (input: CertificateInput, adjusted: boolean): readonly ShownStage[] => {
  const texts = textsFor(input.language);
  const span_mA = input.unit.input.upper.mA - input.unit.input.lower.mA;
  const unit = customerUnit(input);
  const shown: ShownStage[] = [];
  if (input.asFound !== undefined) {
    shown.push({
      stage: "as-found",
      title: adjusted || input.asLeft !== undefined ? texts.asFound : texts.asFoundAndLeft,
      result: input.asFound,
      rounded: roundedStage(input.asFound, span_mA, unit),
    });
  }
  if (input.asLeft !== undefined) {
    shown.push({
      stage: "as-left",
      title: texts.asLeft,
      result: input.asLeft,
      rounded: roundedStage(input.asLeft, span_mA, unit),
    });
  }
  return shown;
};

export interface CertificateContext {
  readonly context: SectionContext;
  /** As the record says it; nothing else can set it. */
  readonly simulated: boolean;
  readonly missing: readonly string[];
}

/**
 * What paper and data file are both made from: results rounded once, status, number. Whether it is a specimen is read
 * from the record alone: a simulated instrument, or a clock that is not the wall's, makes it one, and there is no way to
 * say otherwise.
 */
export const certificateContext = (input: CertificateInput): CertificateContext => {
  const texts = textsFor(input.language);
  const { record } = input;
  const simulated = record.simulated || record.header.clock !== "wall" || record.instruments.some((i) => i.simulated);
  const missing = missingForIssue(input, texts);
  const status: Status = simulated ? "specimen" : missing.length > 0 ? "draft" : "issued";
  const number =
    status === "specimen"
      ? `${texts.simulatedWord}-${input.number}`
      : status === "draft"
        ? `${texts.draftWord}-${input.number}`
        : input.number;
  const adjusted = record.adjustments.some((a) => a.turns.length > 0);
  return {
    context: {
      input,
      texts,
      print: makePrint(input.language),
      status,
      number,
      shown: shownStages(input, adjusted),
      adjusted,
    },
    simulated,
    missing,
  };
};
