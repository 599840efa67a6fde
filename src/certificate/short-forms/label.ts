import type { Fact } from "../block.ts";
import type { CertificateModel } from "../certificate-model.ts";
import type { Status } from "../sections/section-context.ts";
import { textsFor } from "../texts/index.ts";

/** What stands on the sticker of a unit. There is no field for a next date: none is agreed by a label. */
export interface Label {
  readonly status: Status;
  readonly laboratory: string;
  readonly word: string;
  readonly lines: readonly string[];
  /** Read by a telephone: number of the certificate, and digest of its data file. */
  readonly code: string;
}

/**
 * @param digest SHA-256 of the digital certificate, hexadecimal
 * @param facts serial number, tag and day of the work, as printed
 */
export const labelOf = (model: CertificateModel, digest: string, facts: readonly Fact[]): Label => {
  const texts = textsFor(model.language);
  const last = model.results.as_left ?? model.results.as_found;
  return {
    status: model.status,
    laboratory: model.laboratory.name,
    word: model.mark?.word ?? texts.words[last?.word ?? "no-statement"],
    lines: [`${model.numberLabel} ${model.number}`, ...facts.map((f) => `${f.label}: ${f.value}`)],
    code: `${model.number} SHA-256 ${digest}`,
  };
};
