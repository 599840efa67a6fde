import type { CertificateInput } from "../certificate/certificate-input.ts";
import { type CertificateModel, certificateModel } from "../certificate/certificate-model.ts";
import type { Language } from "../certificate/print-number.ts";
import { referencesInUse } from "../certificate/references-in-use.ts";
import type { PaperSize } from "../certificate/render-pdf.ts";
import type { KnownParts } from "../config/known-drivers.ts";
import { parseDecisionRule } from "../decision/decision-rule.ts";
import { foldRun } from "../readings/fold-run.ts";
import { decodeRecord } from "../readings/record-codec.ts";
import type { RunRecord } from "../readings/run-record.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { evaluateStage } from "./evaluate-record.ts";
import { type JobFiles, type JobTexts, parseJobTexts } from "./job-files.ts";
import { renderInThread } from "./render-in-thread.ts";

export interface CertifyOptions {
  readonly number?: string | undefined;
  readonly language: Language;
  readonly paper: PaperSize;
  readonly authorisation?: { readonly name: string; readonly role: string } | undefined;
  /** UTC instant of issue, ms since the epoch. */
  readonly issued_ms: number;
}

export interface Certificate {
  readonly model: CertificateModel;
  readonly record: RunRecord;
  readonly pdf: Uint8Array;
}

const damaged = (message: string): Result<never, Fault> =>
  err(fault("record", "record-damaged", message, { remedy: "Take a copy of the record that is whole." }));

/** The files as they stood when the run began, from the record itself: today's files do not count. */
export const filesOf = (record: RunRecord, known: KnownParts): Result<JobFiles, Fault> => {
  const text = (role: "bench" | "unit" | "laboratory") => record.header.files.find((file) => file.role === role);
  const [bench, unit, laboratory] = [text("bench"), text("unit"), text("laboratory")];
  if (bench === undefined || unit === undefined || laboratory === undefined) {
    return damaged("The record does not hold its bench, unit and laboratory files.");
  }
  const texts: JobTexts = { bench, unit, laboratory };
  const parsed = parseJobTexts(texts, known);
  if (!parsed.ok) return parsed;
  for (const file of record.header.files) {
    const kept = parsed.value.kept.find((k) => k.role === file.role);
    if (kept?.sha256 !== file.sha256)
      return damaged(`The ${file.role} file in the record does not have the digest written beside it.`);
  }
  return parsed;
};

/** Day in a time zone, YYYY-MM-DD; never in the format of a locale. */
const dayIn = (timeZone: string, ms: number): string => {
  const parts = new Intl.DateTimeFormat("en-CA", {
    timeZone,
    year: "numeric",
    month: "2-digit",
    day: "2-digit",
  }).formatToParts(ms);
  const part = (type: string): string => parts.find((p) => p.type === type)?.value ?? "";
  return `${part("year")}-${part("month")}-${part("day")}`;
};

/** Text of a record to the folded record. */
export const readRecord = (text: string): Result<RunRecord, Fault> => {
  const decoded = decodeRecord(text);
  return decoded.ok ? foldRun(decoded.value.events) : decoded;
};

/** Record to everything that a certificate is made from. Pure but for the calendar of the time zone. */
export const certificateInput = (
  record: RunRecord,
  known: KnownParts,
  options: CertifyOptions,
): Result<CertificateInput, Fault> => {
  const files = filesOf(record, known);
  if (!files.ok) return files;
  const rule = parseDecisionRule(record.header.decision_rule);
  if (!rule.ok) return rule;
  const { bench, unit, laboratory } = files.value;
  const basis = { bench, station: record.header.station, unit, laboratory, rule: rule.value };
  const stages: Pick<CertificateInput, "asFound" | "asLeft"> = {};
  for (const [key, name] of [
    ["asFound", "as-found"],
    ["asLeft", "as-left"],
  ] as const) {
    const stage = record.stages.findLast((s) => s.stage === name);
    if (stage === undefined || stage.points.length === 0) continue;
    const result = evaluateStage(stage, basis);
    if (!result.ok) return result;
    Object.assign(stages, { [key]: result.value });
  }
  const zone = laboratory.time_zone;
  return ok({
    number: options.number ?? record.header.run_id,
    language: options.language,
    record,
    unit,
    laboratory,
    ...(bench.site === undefined ? {} : { site: bench.site }),
    references: referencesInUse(bench, record),
    ...stages,
    dates: {
      started: dayIn(zone, Date.parse(record.header.utc)),
      ended: dayIn(zone, Date.parse(record.last.utc)),
      issued: dayIn(zone, options.issued_ms),
    },
    ...(options.authorisation === undefined ? {} : { authorisation: options.authorisation }),
  });
};

/** Text of a record to a certificate: nothing but the record counts. */
export const certifyRecord = async (
  text: string,
  known: KnownParts,
  options: CertifyOptions,
): Promise<Result<Certificate, Fault>> => {
  const record = readRecord(text);
  if (!record.ok) return record;
  const input = certificateInput(record.value, known, options);
  if (!input.ok) return input;
  const model = certificateModel(input.value);
  const pdf = await renderInThread({ model, paper: options.paper, created_ms: options.issued_ms });
  return pdf.ok ? ok({ model, record: record.value, pdf: pdf.value }) : pdf;
};
