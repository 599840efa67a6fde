import { join } from "node:path";
import { printDate } from "../certificate/print-date.ts";
import type { PaperSize } from "../certificate/render-pdf.ts";
import { inspectionReport } from "../certificate/short-forms/inspection-report.ts";
import { labelOf } from "../certificate/short-forms/label.ts";
import { resultsCsv, resultsJson } from "../certificate/short-forms/results-table.ts";
import { textsFor } from "../certificate/texts/index.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import type { PreparedCertificate } from "./certify.ts";
import { sha256 } from "./hash-chain.ts";
import { renderInThread } from "./render-in-thread.ts";
import { writeWhole } from "./write-whole.ts";

/** Forms beside the full certificate, all under its number: results for machines, one page, a sticker. */
export const writeShortForms = async (
  folder: string,
  { input, model, dcc }: PreparedCertificate,
  options: { readonly paper: PaperSize; readonly issued_ms: number },
): Promise<Result<readonly string[], Fault>> => {
  const texts = textsFor(model.language);
  const { identity } = input.unit;
  const label = labelOf(model, sha256(dcc ?? ""), [
    { label: texts.serialNumber, value: identity.serial_number },
    ...(identity.tag === undefined ? [] : [{ label: texts.tag, value: identity.tag }]),
    { label: texts.worked, value: printDate(input.dates.ended, model.language) },
  ]);
  const task = { paper: options.paper, created_ms: options.issued_ms, attachments: [] };
  const report = await renderInThread({ ...task, model: inspectionReport(model) });
  if (!report.ok) return report;
  const sticker = await renderInThread({ ...task, model, label });
  if (!sticker.ok) return sticker;
  const picture = await renderInThread({ ...task, model, label, as: "picture" });
  if (!picture.ok) return picture;
  const files: readonly (readonly [string, Uint8Array | string])[] = [
    ["results.csv", resultsCsv(model)],
    ["results.json", resultsJson(model)],
    ["report.pdf", report.value],
    ["label.pdf", sticker.value],
    ["label.png", picture.value],
  ];
  const written: string[] = [];
  for (const [name, bytes] of files) {
    const file = await writeWhole(join(folder, `${model.number}.${name}`), bytes);
    if (!file.ok) return file;
    written.push(file.value);
  }
  return ok(written);
};
