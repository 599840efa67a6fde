import { readFileSync } from "node:fs";
import { type Certificate, certifyRecord } from "../../src/app/certify.ts";
import { knownParts } from "../../src/app/known-parts.ts";
import { shipped } from "../../src/app/package-root.ts";
import { faultText } from "../../src/vocabulary/fault.ts";

/** The specimen of the README: its record was written once on the virtual clock and is kept; all else is made from it. */
export const SAMPLE = {
  record: shipped("reports", "sample", "specimen.record.jsonl"),
  pdf: shipped("reports", "sample", "specimen.pdf"),
  xml: shipped("reports", "sample", "specimen.xml"),
  image: shipped("reports", "sample", "specimen-page-1.png"),
} as const;

export const sampleCertificate = async (): Promise<Certificate> => {
  const made = await certifyRecord(readFileSync(SAMPLE.record, "utf8"), knownParts(), {
    number: "TK-2026-0117",
    language: "en",
    paper: "A4",
    issued_ms: Date.UTC(2026, 10, 26, 9),
  });
  if (!made.ok) throw new Error(faultText(made.fault));
  return made.value;
};
