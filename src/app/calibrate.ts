import { randomBytes } from "node:crypto";
import { join } from "node:path";
import type { StageResult } from "../certificate/certificate-input.ts";
import type { PointWord } from "../decision/verdict.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { faultText } from "../vocabulary/fault.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import { certifyRecord, writeCertificate } from "./certify.ts";
import { knownParts } from "./known-parts.ts";
import { type LocalStore, openRecordStore } from "./records/record-store.ts";
import { summariseRun } from "./records/summarise-run.ts";
import type { JobOutcome, JobWorld } from "./run-job.ts";
import type { SigningKey } from "./sign-certificate.ts";
import { writeWhole } from "./write-whole.ts";

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
  /** File of the bench's store. */
  readonly records: string;
  /** Name of the bench, for the mark of a new store. */
  readonly bench: string;
  readonly station: string;
  readonly language: "en" | "de";
  readonly paper: "A4" | "Letter";
  /** Signs the head of the record when the run ends. */
  readonly key?: SigningKey | undefined;
  /** Goes on with a run that broke off instead of beginning one. */
  readonly resume?: boolean;
  readonly onTrouble: (f: Fault) => void;
  /** The run is closed in the store; papers are still to be made. */
  readonly onClosed?: () => void;
}

/** What a run is handed to keep its record with. */
export type Keeping = Pick<JobWorld, "keep" | "ledger">;

/**
 * Runs `run` with its record in the bench's store, writes the record out as a file, and makes the certificate from what
 * the record says. The run is entered in the store before anything is opened: a bench that cannot write does not start.
 */
export const calibrate = async (
  run_id: string,
  options: PapersOptions,
  run: (keeping: Keeping) => Promise<Result<JobOutcome, Fault>>,
): Promise<Result<CalibrationResult, Fault>> => {
  const store = await openRecordStore(options.records, { bench: options.bench, onTrouble: options.onTrouble });
  if (!store.ok) return store;
  try {
    return await recorded(store.value, run_id, options, run);
  } finally {
    await store.value.close();
  }
};

const recorded = async (
  store: LocalStore,
  run_id: string,
  options: PapersOptions,
  run: (keeping: Keeping) => Promise<Result<JobOutcome, Fault>>,
): Promise<Result<CalibrationResult, Fault>> => {
  const lines: string[] = [];
  const resumed = options.resume === true ? await store.resume(run_id) : null;
  if (resumed?.ok) lines.push(...resumed.value.bodies);
  const recorder = resumed ?? (await store.begin({ run_id, station: options.station }));
  if (!recorder.ok) return recorder;
  const { append, ledger } = recorder.value;
  const outcome = await run({
    ledger,
    keep: (line) => {
      lines.push(line);
      return append(line);
    },
  });
  const kept = await recorder.value.settled();
  // A run that could not even begin is closed as such; one that has events stays open, to be gone on with.
  if (!outcome.ok) {
    if (kept.ok && kept.value.events === 0) await store.finish(run_id, null, options.key);
    return outcome;
  }
  if (!kept.ok) return kept;
  const summary = summariseRun(outcome.value.record, knownParts());
  if (!summary.ok) return summary;
  const closed = await store.finish(run_id, summary.value, options.key);
  if (!closed.ok) return closed;
  options.onClosed?.();
  const text = `${lines.join("\n")}\n`;
  const record = await writeWhole(join(options.folder, `${run_id}.record.jsonl`), text);
  if (!record.ok) return record;
  const papers: Papers = { record: record.value, certificate: null, data: null };
  const { asFound, asLeft } = outcome.value;
  if (!(asFound?.ok || asLeft?.ok)) return ok({ ...papers, outcome: outcome.value });
  const certificate = await certifyRecord(text, knownParts(), {
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
