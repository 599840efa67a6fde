import type { PlacedSection } from "./block.ts";
import type { CertificateInput } from "./certificate-input.ts";
import { missingForIssue } from "./issue-check.ts";
import type { Language } from "./print-number.ts";
import type { RoundedStage } from "./rounded-results.ts";
import { roundedStage } from "./rounded-results.ts";
import { sections } from "./sections/index.ts";
import {
  customerUnit,
  makePrint,
  type SectionContext,
  type ShownStage,
  type Status,
} from "./sections/section-context.ts";
import { textsFor } from "./texts/index.ts";

/** The finished certificate as data: what is printed, and the rounded results behind it in plain decimals. */
export interface CertificateModel {
  readonly status: Status;
  /** As the record says it; nothing else can set it. */
  readonly simulated: boolean;
  readonly language: Language;
  readonly title: string;
  readonly subtitle: string;
  /** As printed on every page. */
  readonly number: string;
  readonly numberLabel: string;
  readonly laboratory: { readonly name: string; readonly lines: readonly string[] };
  /** Word written across every page, and the sentence in the head of every page; null for an issued certificate. */
  readonly mark: { readonly word: string; readonly header: string; readonly sentence: string } | null;
  readonly sections: readonly PlacedSection[];
  readonly furniture: {
    /** With {n} and {total} to be filled in. */
    readonly pageOf: string;
    readonly endMark: string;
    readonly continued: string;
    readonly statedByCustomerMark: string;
    readonly statedByCustomerNote: string;
  };
  readonly results: { readonly as_found: RoundedStage | null; readonly as_left: RoundedStage | null };
  /** What keeps it from being issued; empty when nothing does. */
  readonly missing: readonly string[];
  readonly software_version: string;
}

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

/**
 * Makes the certificate. Pure: the same input gives the same model. Whether it is a specimen is read from the record
 * alone: a simulated instrument, or a clock that is not the wall's, makes it one, and there is no way to say otherwise.
 */
export const certificateModel = (input: CertificateInput): CertificateModel => {
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
  const context: SectionContext = {
    input,
    texts,
    print: makePrint(input.language),
    status,
    number,
    shown: shownStages(input, adjusted),
    adjusted,
  };
  const rounded = (stage: ShownStage["stage"]) => context.shown.find((s) => s.stage === stage)?.rounded ?? null;
  return {
    status,
    simulated,
    language: input.language,
    title: status === "specimen" ? texts.specimenTitle : texts.title,
    subtitle: texts.subtitle,
    number,
    numberLabel: texts.numberLabel,
    laboratory: {
      name: input.laboratory.name,
      lines: [`${input.laboratory.address.join(", ")} · ${input.laboratory.contact}`],
    },
    mark:
      status === "specimen"
        ? { word: texts.simulatedWord, header: texts.simulatedHeader, sentence: texts.simulatedSentence }
        : status === "draft"
          ? { word: texts.draftWord, header: texts.draftHeader, sentence: texts.draftSentence(missing) }
          : null,
    sections: sections.map((build) => build(context)).filter((s): s is PlacedSection => s !== null),
    furniture: {
      pageOf: texts.pageOf,
      endMark: texts.endMark(number),
      continued: texts.continued,
      statedByCustomerMark: texts.statedByCustomerMark,
      statedByCustomerNote: texts.statedByCustomerNote,
    },
    results: { as_found: rounded("as-found"), as_left: rounded("as-left") },
    missing,
    software_version: record.header.software_version,
  };
};
