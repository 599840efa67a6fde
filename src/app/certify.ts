import { join } from "node:path";
import type { Act, CertificateInput, Replaces } from "../certificate/certificate-input.ts";
import { type CertificateModel, certificateModel } from "../certificate/certificate-model.ts";
import { checkDcc } from "../certificate/dcc/check-dcc.ts";
import { DCC_VERSION, dccText } from "../certificate/dcc/dcc-text.ts";
import type { FurtherTest, Opinions } from "../certificate/further-test.ts";
import type { Language } from "../certificate/print-number.ts";
import { referencesInUse } from "../certificate/references-in-use.ts";
import type { Attachment, PaperSize } from "../certificate/render-pdf.ts";
import type { KnownParts } from "../config/known-drivers.ts";
import type { UnitFile } from "../config/unit-file.schema.ts";
import { parseDecisionRule } from "../decision/decision-rule.ts";
import { addMonths } from "../history/calendar-days.ts";
import { foldRun } from "../readings/fold-run.ts";
import { gaugeZeroOf } from "../readings/gauge-zero.ts";
import { decodeRecord } from "../readings/record-codec.ts";
import type { RunRecord } from "../readings/run-record.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { type DccSchema, schemaComplaints } from "./dcc-schema.ts";
import { evaluateStage } from "./evaluate-record.ts";
import { recordHead } from "./hash-chain.ts";
import { type JobFiles, type JobTexts, parseJobTexts } from "./job-files.ts";
import type { PdfTask } from "./pdf-thread.ts";
import { renderInThread } from "./render-in-thread.ts";
import { writeWhole } from "./write-whole.ts";

export interface CertifyOptions {
  readonly number?: string | undefined;
  readonly language: Language;
  readonly paper: PaperSize;
  readonly review?: Act | undefined;
  readonly authorisation?: Act | undefined;
  readonly replaces?: Replaces | undefined;
  /** What an amendment says otherwise than the unit file of the record. */
  readonly identity?: Partial<UnitFile["identity"]> | undefined;
  /** Tests that explain the unit, shown for information, and opinions on them. */
  readonly further?: { readonly tests: readonly FurtherTest[]; readonly opinions?: Opinions } | undefined;
  /** Against which the digital certificate is checked, besides our own checks. */
  readonly schema?: DccSchema | undefined;
  /** UTC instant of issue, ms since the epoch. */
  readonly issued_ms: number;
}

export interface Certificate {
  readonly model: CertificateModel;
  readonly record: RunRecord;
  /** Holds the digital certificate as an attachment. */
  readonly pdf: Uint8Array;
  /** Digital calibration certificate, XML; null when no stage has a result. */
  readonly dcc: string | null;
  /** What is wrong with the digital certificate; a draft may have such faults, an issued one never. */
  readonly faults: readonly string[];
}

const damaged = (message: string): Result<never, Fault> =>
  err(fault("record", "record-damaged", message, { remedy: "Take a copy of the record that is whole." }));

/** The files as they stood when the run began, from the record itself: today's files do not count. */
export const filesOf = (record: RunRecord, known: KnownParts): Result<JobFiles, Fault> => {
  const text = (role: JobFiles["kept"][number]["role"]) => record.header.files.find((file) => file.role === role);
  const [bench, unit, laboratory] = [text("bench"), text("unit"), text("laboratory")];
  if (bench === undefined || unit === undefined || laboratory === undefined) {
    return damaged("The record does not hold its bench, unit and laboratory files.");
  }
  const texts: JobTexts = { bench, unit, laboratory, logo: text("logo") };
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
export const dayIn = (timeZone: string, ms: number): string => {
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
  head?: string,
): Result<CertificateInput, Fault> => {
  const files = filesOf(record, known);
  if (!files.ok) return files;
  const rule = parseDecisionRule(record.header.decision_rule);
  if (!rule.ok) return rule;
  const { bench, unit, laboratory, logo } = files.value;
  const basis = { bench, station: record.header.station, unit, laboratory, rule: rule.value, ...gaugeZeroOf(record) };
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
  const ended = dayIn(zone, Date.parse(record.last.utc));
  const { agreed, interval_months } = laboratory.next_due;
  return ok({
    number: options.number ?? record.header.run_id,
    language: options.language,
    record,
    unit: { ...unit, identity: { ...unit.identity, ...options.identity } },
    laboratory,
    ...(logo === undefined ? {} : { logo }),
    ...(head === undefined ? {} : { recordHead: head }),
    ...(bench.site === undefined ? {} : { site: bench.site }),
    references: referencesInUse(bench, record),
    ...stages,
    dates: {
      started: dayIn(zone, Date.parse(record.header.utc)),
      ended,
      issued: dayIn(zone, options.issued_ms),
    },
    ...(agreed ? { nextDue: addMonths(ended, interval_months) } : {}),
    ...(options.further === undefined ? {} : { further: options.further.tests }),
    ...(options.further?.opinions === undefined ? {} : { opinions: options.further.opinions }),
    ...(options.review === undefined ? {} : { review: options.review }),
    ...(options.authorisation === undefined ? {} : { authorisation: options.authorisation }),
    ...(options.replaces === undefined ? {} : { replaces: options.replaces }),
  });
};

/** What our own checks say against a digital certificate. */
const ownFaults = (dcc: string): readonly string[] =>
  checkDcc(dcc)
    .filter((remark) => remark.weight === "wrong")
    .map((remark) => `${remark.place}: ${remark.text}`);

/** What the schema complains about, where there is one. It works in a thread of its own: pages can be drawn meanwhile. */
export const schemaFaults = async (dcc: string | null, schema: DccSchema | undefined): Promise<readonly string[]> => {
  if (dcc === null || schema === undefined) return [];
  const [complaints = []] = await schemaComplaints(schema, [dcc]);
  return complaints;
};

/** A certificate before it is drawn. */
export interface PreparedCertificate {
  readonly input: CertificateInput;
  readonly model: CertificateModel;
  readonly dcc: string | null;
  /** What our own checks say against the digital certificate. */
  readonly faults: readonly string[];
}

/** Text of a record to everything a certificate says; nothing but the record counts. */
export const prepareCertificate = async (
  text: string,
  known: KnownParts,
  options: CertifyOptions,
): Promise<Result<PreparedCertificate, Fault>> => {
  const record = readRecord(text);
  if (!record.ok) return record;
  const input = certificateInput(record.value, known, options, recordHead(text));
  if (!input.ok) return input;
  const dcc = dccText(input.value);
  return ok({
    input: input.value,
    model: certificateModel(input.value),
    dcc,
    faults: dcc === null ? [] : ownFaults(dcc),
  });
};

/** The digital certificate as it travels inside the PDF; none when there is none. */
export const dataInside = ({ model, dcc }: Pick<PreparedCertificate, "model" | "dcc">): readonly Attachment[] =>
  dcc === null
    ? []
    : [
        {
          name: `${model.number}.xml`,
          mimeType: "text/xml",
          description: `Digital calibration certificate (DCC ${DCC_VERSION})`,
          bytes: Buffer.from(dcc, "utf8"),
        },
      ];

/** Draws it, with the digital certificate and whatever else belongs to it inside. */
export const drawCertificate = (
  prepared: Pick<PreparedCertificate, "model" | "dcc">,
  options: Pick<CertifyOptions, "paper" | "issued_ms">,
  more: readonly Attachment[] = [],
  signature?: PdfTask["signature"],
): Promise<Result<Uint8Array, Fault>> =>
  renderInThread({
    model: prepared.model,
    paper: options.paper,
    created_ms: options.issued_ms,
    attachments: [...dataInside(prepared), ...more],
    ...(signature === undefined ? {} : { signature }),
  });

/** Text of a record to a certificate, drawn. */
export const certifyRecord = async (
  text: string,
  known: KnownParts,
  options: CertifyOptions,
): Promise<Result<Certificate, Fault>> => {
  const prepared = await prepareCertificate(text, known, options);
  if (!prepared.ok) return prepared;
  const { input, model, dcc, faults } = prepared.value;
  const [pdf, bySchema] = await Promise.all([
    drawCertificate(prepared.value, options),
    schemaFaults(dcc, options.schema),
  ]);
  if (!pdf.ok) return pdf;
  return ok({ model, record: input.record, pdf: pdf.value, dcc, faults: [...faults, ...bySchema] });
};

/** Writes both forms side by side, named by the certificate's number. */
export const writeCertificate = async (
  folder: string,
  { model, pdf, dcc }: Pick<Certificate, "model" | "pdf" | "dcc">,
): Promise<Result<{ readonly certificate: string; readonly data: string | null }, Fault>> => {
  const certificate = join(folder, `${model.number}.pdf`);
  const data = dcc === null ? null : join(folder, `${model.number}.xml`);
  const written = await writeWhole(certificate, pdf);
  if (!written.ok) return written;
  if (data !== null && dcc !== null) {
    const also = await writeWhole(data, dcc);
    if (!also.ok) return also;
  }
  return ok({ certificate, data });
};
