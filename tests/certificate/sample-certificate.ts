import { readFileSync } from "node:fs";
import { dataInside, type PreparedCertificate, prepareCertificate } from "../../src/app/certify.ts";
import { knownParts } from "../../src/app/known-parts.ts";
import { shipped } from "../../src/app/package-root.ts";
import { renderPdf } from "../../src/certificate/render-pdf.ts";
import { faultText } from "../../src/vocabulary/fault.ts";
import { sampleFonts } from "./sample-fonts.ts";

/** The specimen of the README: its record was written once on the virtual clock and is kept; all else is made from it. */
export const SAMPLE = {
  record: shipped("reports", "sample", "specimen.record.jsonl"),
  pdf: shipped("reports", "sample", "specimen.pdf"),
  xml: shipped("reports", "sample", "specimen.xml"),
  image: shipped("reports", "sample", "specimen-page-1.png"),
} as const;

/** Drawn in this very thread, which gives the same bytes as in a thread of its own. */
export const sampleCertificate = async (): Promise<PreparedCertificate & { readonly pdf: Uint8Array }> => {
  const issued_ms = Date.UTC(2026, 10, 26, 9);
  const prepared = await prepareCertificate(readFileSync(SAMPLE.record, "utf8"), knownParts(), {
    number: "TK-2026-0117",
    language: "en",
    paper: "A4",
    issued_ms,
  });
  if (!prepared.ok) throw new Error(faultText(prepared.fault));
  const pdf = await renderPdf(prepared.value.model, {
    paper: "A4",
    fonts: sampleFonts,
    createdAt: new Date(issued_ms),
    attachments: dataInside(prepared.value),
  });
  if (!pdf.ok) throw new Error(faultText(pdf.fault));
  return { ...prepared.value, pdf: pdf.value };
};
