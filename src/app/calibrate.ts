import { randomBytes } from "node:crypto";
import { join } from "node:path";
import type { StageResult } from "../certificate/certificate-input.ts";
import type { PointWord } from "../decision/verdict.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { faultText } from "../vocabulary/fault.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import { certifyRecord, writeCertificate } from "./certify.ts";
import { knownParts } from "./known-parts.ts";
import { createRecordFile } from "./record-file.ts";
import type { JobOutcome, JobWorld } from "./run-job.ts";

/** Joins a job to the disk: record as it happens, certificate afterwards, files whole or not at all. */

export interface Papers {
  readonly record: string;
  /** null: no stage gave a reading, so there is nothing to certify. */
  readonly certificate: string | null;
  /** The same as data (DCC), beside it. */
  readonly data: string | null;
}

export interface CalibrationResult extends Papers {
  readonly outcome: JobOutcome;
}

/** Sorts by time, says the unit, and never repeats: `20261125-091702-HC15-20431-4f2a`. */
export const newRunId = (now_ms: number, serial: string): string => {
  const stamp = new Date(now_ms).toISOString().replaceAll(/[-:]/g, "").replace("T", "-").slice(0, 15);
  const safeSerial = serial.replaceAll(/[^A-Za-z0-9.-]+/g, "_").slice(0, 40);
  return `${stamp}-${safeSerial}-${randomBytes(2).toString("hex")}`;
};

export const verdictOf = (stage: Result<StageResult, Fault> | null): PointWord | null =>
  stage === null || !stage.ok ? null : stage.value.verdict.word;

/** The stage that is judged last: as left where the unit was adjusted, else as found. */
export const finalVerdict = (outcome: JobOutcome): PointWord =>
  verdictOf(outcome.asLeft ?? outcome.asFound) ?? "no-statement";

export interface PapersOptions {
  readonly folder: string;
  readonly language: "en" | "de";
  readonly paper: "A4" | "Letter";
  readonly onTrouble: (f: Fault) => void;
}

/**
 * Runs `run` with a record on disk and makes the certificate from what the record says.
 * The record is created before anything is opened: a bench without a disk to write to does not start.
 */
export const calibrate = async (
  run_id: string,
  options: PapersOptions,
  run: (keep: JobWorld["keep"]) => Promise<Result<JobOutcome, Fault>>,
): Promise<Result<CalibrationResult, Fault>> => {
  const file = await createRecordFile(join(options.folder, `${run_id}.record.jsonl`), options.onTrouble);
  if (!file.ok) return file;
  const lines: string[] = [];
  const outcome = await run((line) => {
    lines.push(line);
    return file.value.append(line);
  });
  const kept = await file.value.close();
  if (!outcome.ok) return outcome;
  if (!kept.ok) return kept;
  const papers: Papers = { record: file.value.path, certificate: null, data: null };
  const { asFound, asLeft } = outcome.value;
  if (!(asFound?.ok || asLeft?.ok)) return ok({ ...papers, outcome: outcome.value });
  const certificate = await certifyRecord(`${lines.join("\n")}\n`, knownParts(), {
    language: options.language,
    paper: options.paper,
    issued_ms: Date.now(),
  });
  if (!certificate.ok) return certificate;
  const written = await writeCertificate(options.folder, certificate.value);
  return written.ok ? ok({ ...papers, ...written.value, outcome: outcome.value }) : written;
};

/** One sentence about a stage, for the end of a run. */
export const stageSentence = (name: string, stage: Result<StageResult, Fault> | null): string | null => {
  if (stage === null) return null;
  if (!stage.ok) return `${name}: ${faultText(stage.fault)}`;
  const { verdict, analysis } = stage.value;
  const worst = analysis.points.reduce((a, b) =>
    Math.abs(b.error_percent_span) > Math.abs(a.error_percent_span) ? b : a,
  );
  const figure = `largest error ${worst.error_percent_span >= 0 ? "+" : ""}${worst.error_percent_span.toFixed(2)} % of span at ${worst.nominal_percent} % ${worst.direction}`;
  return `${name}: ${verdict.word.replaceAll("-", " ").toUpperCase()}, ${figure}`;
};
