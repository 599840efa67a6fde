import { randomBytes } from "node:crypto";
import { mkdirSync, statfsSync, statSync } from "node:fs";
import { dirname } from "node:path";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { EMPTY_HEAD, nextHead } from "../hash-chain.ts";
import { softwareVersion } from "../package-root.ts";
import { migrate } from "./migrate.ts";
import { MIGRATIONS } from "./migrations/index.ts";
import { LEDGER_ROW, safeRows } from "./safe-rows.ts";
import { scanEvents } from "./scan-events.ts";
import { openSqlite, queriesOver, type SqliteFile } from "./sqlite-file.ts";
import { recordsIn, type SqliteRecords } from "./sqlite-records.ts";
import { storeFault } from "./store-fault.ts";

export interface OpenOptions {
  /** Name of the bench, for the mark of a new store. */
  readonly bench: string;
}

/** With less than this a run is not begun: its record could end in the middle. Preflight wants more. */
const LEAST_FREE_MB = 20;

/** Up to this size every page of a store is looked at when it is opened; beyond it, what the next run goes on from. */
const LOOK_AT_ALL_MB = 16;

const damaged = (path: string, what: string): Fault =>
  fault("record", "record-damaged", `The records ${path} are damaged: ${what}.`, {
    means: "Nothing is written into a damaged store, and nothing damaged is used.",
    remedy: `Look at it with \`stillpoint verify ${path}\`, fetch it from its backup, or begin another with --records.`,
  });

const roomFault = (path: string): Fault | null => {
  const { bavail, bsize } = statfsSync(dirname(path));
  const free_MB = (bavail * bsize) / 1e6;
  return free_MB >= LEAST_FREE_MB
    ? null
    : fault(
        "record",
        "record-write",
        `The disk of the records ${path} has ${free_MB.toFixed(1)} MB left; ${LEAST_FREE_MB} MB are wanted.`,
        {
          means: "The record of the run could end in the middle; nothing was begun.",
          remedy: "Free space, or name a file on another disk with --records.",
        },
      );
};

const versionOf = (file: SqliteFile): number =>
  (file.prepare("pragma user_version").get() as { readonly user_version: number }).user_version;

type Link = { readonly bench_id: string; readonly seq: number; readonly body: string; readonly hash: string };

/** What is wrong with a store, as far as it can be seen in an instant: its pages, its newest run, the end of its chain. */
const troubleIn = (file: SqliteFile, path: string): string | null => {
  if (statSync(path).size <= LOOK_AT_ALL_MB * 1e6) {
    const [said] = safeRows<{ readonly quick_check: string }>(file, "pragma_quick_check(1)", { quick_check: "text" });
    if (said?.quick_check !== "ok") return said?.quick_check.replaceAll(/\s+/gu, " ") ?? "a page cannot be read";
  }
  const [newest] = safeRows<{ readonly run_id: string }>(
    file,
    "events",
    { run_id: "text" },
    "order by run_id desc limit 1",
  );
  if (newest !== undefined) {
    const { broken } = scanEvents(file, newest.run_id);
    if (broken.length > 0) return `an event of run ${newest.run_id} is not what was written`;
  }
  const [last, before] = safeRows<Link>(file, "bench_ledger", LEDGER_ROW, "order by bench_id, seq desc limit 2");
  if (last !== undefined) {
    const [head, seq] = before === undefined ? [EMPTY_HEAD, 0] : [before.hash, before.seq];
    if (last.seq !== seq + 1 || nextHead(head, last.body) !== last.hash) {
      return `entry ${last.seq} of its chain is not what was written`;
    }
  }
  return null;
};

/** `Practice bench, one serial line` -> `practice-bench-one-serial-line-9f3c01d2`. */
const newBenchId = (bench: string): string =>
  `${bench
    .toLowerCase()
    .replaceAll(/[^a-z0-9]+/gu, "-")
    .replaceAll(/^-+|-+$/gu, "")
    .slice(0, 40)}-${randomBytes(4).toString("hex")}`;

const benchOf = (file: SqliteFile): string | null => {
  const row = file.prepare("select bench_id from bench_ledger limit 1").get();
  return row === undefined ? null : (row as { readonly bench_id: string }).bench_id;
};

const prepare = async (
  file: SqliteFile,
  path: string,
  { bench }: OpenOptions,
): Promise<Result<SqliteRecords, Fault>> => {
  const version = versionOf(file);
  if (version > MIGRATIONS.length) {
    return err(
      fault("record", "record-damaged", `The records ${path} are of a newer version of this program.`, {
        means: "They may be sound, but they are not understood here; nothing was changed.",
        remedy: "Use that version or a newer one.",
      }),
    );
  }
  const trouble = version === 0 ? null : troubleIn(file, path);
  if (trouble !== null) return err(damaged(path, trouble));
  const schema = MIGRATIONS.length;
  if (version < schema) await migrate(queriesOver(file), "sqlite");
  const software_version = softwareVersion();
  const known = benchOf(file);
  if (known !== null) {
    const records = recordsIn(file, path, known);
    if (version === schema) return ok(records);
    const noted = records.note({ act: "schema-migrated", schema, software_version });
    return noted.ok ? ok(records) : noted;
  }
  const bench_id = newBenchId(bench);
  const records = recordsIn(file, path, bench_id);
  const created = records.create(software_version, schema);
  if (!created.ok) return created;
  return ok(created.value ? records : recordsIn(file, path, benchOf(file) ?? bench_id));
};

/**
 * Opens a store, or creates it with its folder. Refuses one that is damaged, newer than this program or on a full disk.
 * An older one is brought to this version first, whole or not at all.
 */
export const openRecords = async (path: string, options: OpenOptions): Promise<Result<SqliteRecords, Fault>> => {
  let file: SqliteFile | null = null;
  try {
    mkdirSync(dirname(path), { recursive: true });
    const full = roomFault(path);
    if (full !== null) return err(full);
    file = openSqlite(path);
    const records = await prepare(file, path, options);
    if (!records.ok) file.close();
    return records;
  } catch (error) {
    file?.close();
    return err(storeFault(path, "opened", error));
  }
};
