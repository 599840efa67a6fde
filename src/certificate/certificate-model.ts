import type { PlacedSection } from "./block.ts";
import { certificateContext } from "./certificate-context.ts";
import type { CertificateInput } from "./certificate-input.ts";
import type { Language } from "./print-number.ts";
import type { RoundedStage } from "./rounded-results.ts";
import { sections } from "./sections/index.ts";
import type { ShownStage, Status } from "./sections/section-context.ts";

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
  readonly laboratory: {
    readonly name: string;
    readonly lines: readonly string[];
    /** Picture beside the name, with the words for whoever cannot see it. */
    readonly logo?: { readonly bytes: Uint8Array; readonly alternative: string };
  };
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

/**
 * Makes the certificate. Pure: the same input gives the same model. Whether it is a specimen is read from the record
 * alone: a simulated instrument, or a clock that is not the wall's, makes it one, and there is no way to say otherwise.
 */
export const certificateModel = (input: CertificateInput): CertificateModel => {
  const { context, simulated, missing } = certificateContext(input);
  const { texts, status, number } = context;
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
      ...(input.logo === undefined
        ? {}
        : { logo: { bytes: input.logo, alternative: texts.logoAlternative(input.laboratory.name) } }),
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
    software_version: input.record.header.software_version,
  };
};
