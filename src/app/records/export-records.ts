import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { canonicalJson } from "../canonical-json.ts";
import { shipped, softwareVersion } from "../package-root.ts";
import { writeWhole } from "../write-whole.ts";
import { csvText } from "./csv-text.ts";
import { sampleRows } from "./sample-rows.ts";
import { openSqlite, type SqliteFile } from "./sqlite-file.ts";
import { storeFault } from "./store-fault.ts";

export const EXPORT_FORMAT = "stillpoint-export 1";

export interface ExportOptions {
  /** These runs only; all of them when it is left out. */
  readonly runs?: readonly string[] | undefined;
}

export interface Exported {
  readonly runs: number;
  readonly events: number;
}

type Row = Readonly<Record<string, unknown>>;

const RUN_COLUMNS = [
  ..."run_id bench_id station kind started_utc ended_utc ending simulated operator unit_serial unit_tag".split(" "),
  ..."unit_model unit_maker customer batch verdict_found verdict_left verdict largest_error_percent".split(" "),
  ..."next_due events head software_version search_text facts".split(" "),
];
const REFERENCE_COLUMNS = "run_id role serial_number certificate_number due".split(" ");
const EVENT_COLUMNS = "run_id seq utc at_s kind hash body".split(" ");
const SAMPLE_COLUMNS = "run_id seq what ordinal direction nominal_percent at_s pressure_kPa raw".split(" ");

/** The binding hangs a note of its own on every row. */
const plain = (row: unknown): Row => {
  const { _metadata: _, ...rest } = row as Row;
  return rest;
};

const lines = (rows: readonly Row[]): string => rows.map((row) => `${canonicalJson(row)}\n`).join("");

const rowsFrom = (file: SqliteFile, query: string, ...values: readonly string[]): readonly Row[] =>
  file
    .prepare(query)
    .all(...values)
    .map(plain);

const write = async (folder: string, files: Readonly<Record<string, string>>): Promise<Fault | null> => {
  for (const [name, text] of Object.entries(files)) {
    const written = await writeWhole(join(folder, name), text);
    if (!written.ok) return written.fault;
  }
  return null;
};

const runIds = (file: SqliteFile, wanted: readonly string[] | undefined): Result<readonly string[], Fault> => {
  const there = rowsFrom(
    file,
    `with recursive each(run_id) as (
       select min(run_id) from events
       union all
       select (select min(run_id) from events where events.run_id > each.run_id) from each where run_id is not null
     )
     select run_id from each where run_id is not null`,
  ).map((row) => String(row["run_id"]));
  const missing = (wanted ?? []).find((run_id) => !there.includes(run_id));
  return missing === undefined
    ? ok(wanted ?? there)
    : err(
        fault("refused", "bad-option", `There is no run ${missing}.`, {
          means: "Nothing was written.",
          remedy: "`stillpoint find` lists the runs.",
        }),
      );
};

const exportRun = async (file: SqliteFile, folder: string, run_id: string): Promise<Result<readonly Row[], Fault>> => {
  const rows = rowsFrom(file, "select seq, body, hash from events where run_id = ? order by seq", run_id);
  const trouble = await write(join(folder, "runs"), {
    [`${run_id}.record.jsonl`]: rows.map((row) => `${String(row["body"])}\n`).join(""),
    [`${run_id}.hashes.txt`]: rows.map((row) => `${String(row["hash"])}\n`).join(""),
  });
  if (trouble !== null) return err(trouble);
  const events = rows.map((row): Row => {
    const { utc, at_s, event } = JSON.parse(String(row["body"])) as { utc: string; at_s: number; event: Row };
    return { run_id, ...row, utc, at_s, kind: event["kind"], event };
  });
  const tables = await write(join(folder, "csv"), {
    [`${run_id}.events.csv`]: csvText(EVENT_COLUMNS, events),
    [`${run_id}.samples.csv`]: csvText(SAMPLE_COLUMNS, sampleRows(events)),
  });
  return tables === null ? ok(rows) : err(tables);
};

const exportOpen = async (
  file: SqliteFile,
  folder: string,
  options: ExportOptions,
): Promise<Result<Exported, Fault>> => {
  const ids = runIds(file, options.runs);
  if (!ids.ok) return ids;
  const chosen = new Set(ids.value);
  const ofChosen = (row: Row): boolean => chosen.has(String(row["run_id"]));
  let events = 0;
  const heads: Row[] = [];
  for (const run_id of ids.value) {
    const run = await exportRun(file, folder, run_id);
    if (!run.ok) return run;
    events += run.value.length;
    heads.push({ run_id, events: run.value.length, head: run.value.at(-1)?.["hash"] ?? null });
  }
  const runs = rowsFrom(file, `select ${RUN_COLUMNS.join(", ")} from runs order by run_id`).filter(ofChosen);
  const references = rowsFrom(
    file,
    `select ${REFERENCE_COLUMNS.join(", ")} from references_used order by run_id, role, serial_number`,
  ).filter(ofChosen);
  const ledger = rowsFrom(file, "select bench_id, seq, body, hash from bench_ledger order by bench_id, seq");
  const signatures = rowsFrom(
    file,
    "select run_id, head, public_key, signature, utc from signatures order by run_id, utc",
  ).filter((row) => ofChosen(row) || String(row["run_id"]).startsWith("ledger:"));
  const acts = rowsFrom(file, "select * from certificate_acts order by certificates_id, seq");
  const keys = new Set(signatures.map((row) => String(row["public_key"])));
  const trouble = await write(folder, {
    "export.json": `${canonicalJson({
      format: EXPORT_FORMAT,
      made_utc: new Date().toISOString(),
      software_version: softwareVersion(),
      bench_id: ledger[0]?.["bench_id"] ?? null,
      whole: options.runs === undefined,
      runs: heads,
    })}\n`,
    "runs.jsonl": lines(runs),
    "references.jsonl": lines(references),
    "ledger.jsonl": ledger.map((row) => `${String(row["body"])}\n`).join(""),
    "ledger-hashes.txt": ledger.map((row) => `${String(row["hash"])}\n`).join(""),
    "signatures.jsonl": lines(signatures),
    "certificate-acts.jsonl": lines(acts),
    "public-keys.txt": [...keys].map((key) => `${key}\n`).join(""),
    "csv/runs.csv": csvText(RUN_COLUMNS, runs),
    "csv/references.csv": csvText(REFERENCE_COLUMNS, references),
    "format.md": readFileSync(shipped("src", "app", "records", "records-format.md"), "utf8"),
    "verify.mjs": readFileSync(shipped("src", "app", "records", "verify-export.mjs"), "utf8"),
  });
  return trouble === null ? ok({ runs: ids.value.length, events }) : err(trouble);
};

/** Writes a store, or some runs of it, into a new folder: with all that is needed to prove and read it without this program. */
export const exportRecords = async (
  path: string,
  folder: string,
  options: ExportOptions = {},
): Promise<Result<Exported, Fault>> => {
  if (!existsSync(path))
    return err(fault("refused", "bad-file", `${path} is not there.`, { remedy: "Name it with --records." }));
  if (existsSync(folder) && readdirSync(folder).length > 0) {
    return err(
      fault("refused", "bad-option", `The folder ${folder} is not empty.`, {
        means: "Nothing was written.",
        remedy: "Name a new one with --output.",
      }),
    );
  }
  let file: SqliteFile | null = null;
  try {
    file = openSqlite(path, "read");
    // One view of the store, whatever a run beside it writes meanwhile.
    file.exec("begin");
    return await exportOpen(file, folder, options);
  } catch (error) {
    return err(storeFault(path, "read", error));
  } finally {
    file?.close();
  }
};
