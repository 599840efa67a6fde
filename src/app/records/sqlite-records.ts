import type { ChainHead } from "../../ports/record-store.ts";
import type { Fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { EMPTY_HEAD, nextHead } from "../hash-chain.ts";
import type { SigningKey } from "../sign-certificate.ts";
import { type BenchAct, benchEntry, NO_ENTRY } from "./bench-act.ts";
import { ledgerName, signHead } from "./head-signature.ts";
import { type RunSummary, summaryDigest } from "./run-summary.ts";
import { closeSqlite, type SqliteFile } from "./sqlite-file.ts";
import { storeFault } from "./store-fault.ts";
import type { SignaturesTable } from "./tables.ts";

/**
 * Everything that is ever written into an open store. Synchronous: each call returns after its commit, and a commit can
 * take long, so a live run does this in a thread of its own.
 */
export interface SqliteRecords {
  readonly path: string;
  readonly bench_id: string;
  /** Enters a run in the bench's chain; gives the head of that chain just before. */
  begin(run_id: string, station: string): Result<string, Fault>;
  /** One commit for all of them. They follow what is kept of the run. */
  append(run_id: string, bodies: readonly string[]): Result<ChainHead, Fault>;
  /** Enters in the bench's chain that a run goes on; gives what is kept of it and the head of that chain just before. */
  resume(run_id: string): Result<{ readonly ledger: string; readonly bodies: readonly string[] }, Fault>;
  finish(run_id: string, summary: RunSummary | null, key?: SigningKey): Result<ChainHead, Fault>;
  note(act: BenchAct): Result<string, Fault>;
  /** The first entry of all, unless another program was quicker. */
  create(software_version: string, schema: number): Result<boolean, Fault>;
  bodies(run_id: string): Result<readonly string[], Fault>;
  /** Runs with events that were never closed, oldest first. */
  openRuns(): Result<readonly string[], Fault>;
  close(): void;
}

interface Tail {
  readonly seq: number;
  readonly head: string;
}

const RUN_COLUMNS = [
  "run_id bench_id station kind started_utc ended_utc ending simulated operator unit_serial unit_tag unit_model",
  "unit_maker customer batch verdict_found verdict_left verdict largest_error_percent next_due events head",
  "software_version search_text facts",
]
  .join(" ")
  .split(" ");

const insertion = (table: string, columns: readonly string[]): string =>
  `insert into ${table} (${columns.join(", ")}) values (${columns.map(() => "?").join(", ")})`;

const asTail = (row: unknown): Tail => {
  const { seq, hash } = row as { readonly seq: number; readonly hash: string };
  return { seq, head: hash };
};

export const recordsIn = (file: SqliteFile, path: string, bench_id: string): SqliteRecords => {
  const addEvent = file.prepare(insertion("events", ["run_id", "seq", "body", "hash"]));
  const addEntry = file.prepare(insertion("bench_ledger", ["bench_id", "seq", "body", "hash"]));
  const lastEvent = file.prepare("select seq, hash from events where run_id = ? order by seq desc limit 1");
  const lastEntry = file.prepare("select seq, hash from bench_ledger where bench_id = ? order by seq desc limit 1");
  const bodiesOf = file.prepare("select body from events where run_id = ? order by seq");
  /** Where each run of this process stands, so that an event costs one statement. */
  const tails = new Map<string, Tail>();

  const tailOf = (run_id: string): Tail => {
    const known = tails.get(run_id);
    if (known !== undefined) return known;
    const row = lastEvent.get(run_id);
    return row === undefined ? { seq: 0, head: EMPTY_HEAD } : asTail(row);
  };

  const ledgerTail = (): Tail => {
    const row = lastEntry.get(bench_id);
    return row === undefined ? NO_ENTRY : asTail(row);
  };

  /** Inside a transaction only: two programs may share a store, and their entries must follow each other. */
  const enter = (act: BenchAct): Tail => {
    const entry = benchEntry(ledgerTail(), act, new Date().toISOString());
    addEntry.run(bench_id, entry.seq, entry.body, entry.head);
    return entry;
  };

  const readBodies = (run_id: string): readonly string[] =>
    bodiesOf.all(run_id).map((row) => (row as { readonly body: string }).body);

  const attempt = <T>(doing: string, work: () => T): Result<T, Fault> => {
    try {
      return ok(work());
    } catch (error) {
      return err(storeFault(path, doing, error));
    }
  };
  const written = <T>(work: () => T): Result<T, Fault> =>
    attempt("written", () => {
      file.exec("begin immediate");
      try {
        const result = work();
        file.exec("commit");
        return result;
      } catch (error) {
        if (file.inTransaction) file.exec("rollback");
        throw error;
      }
    });

  const chained = (run_id: string, body: string, before: Tail): Tail => {
    const after = { seq: before.seq + 1, head: nextHead(before.head, body) };
    addEvent.run(run_id, after.seq, body, after.head);
    return after;
  };

  const sign = (row: SignaturesTable): void => {
    file
      .prepare(insertion("signatures", ["run_id", "head", "public_key", "signature", "utc"]))
      .run(row.run_id, row.head, row.public_key, row.signature, row.utc);
  };

  const closeRun = (run_id: string, summary: RunSummary | null, key: SigningKey | undefined): ChainHead => {
    const { seq: events, head } = tailOf(run_id);
    if (summary !== null) {
      const row = { ...summary.run, bench_id, events, head };
      const values: Readonly<Record<string, unknown>> = row;
      file.prepare(insertion("runs", RUN_COLUMNS)).run(...RUN_COLUMNS.map((column) => values[column] ?? null));
      const addReference = file.prepare(
        insertion("references_used", ["run_id", "role", "serial_number", "certificate_number", "due"]),
      );
      for (const { role, serial_number, certificate_number, due } of summary.references) {
        addReference.run(run_id, role, serial_number, certificate_number, due);
      }
      enter({ act: "run-closed", run_id, events, head, summary_sha256: summaryDigest(row, summary.references) });
    } else {
      enter({ act: "run-closed", run_id, events, head, summary_sha256: null });
    }
    if (key !== undefined) {
      const { public_key } = key;
      const used = file.prepare("select 1 from signatures where public_key = ? limit 1").get(public_key);
      if (used === undefined) enter({ act: "key-used", public_key });
      const utc = new Date().toISOString();
      if (events > 0) sign(signHead({ run_id, head, utc }, key));
      sign(signHead({ run_id: ledgerName(bench_id), head: ledgerTail().head, utc }, key));
    }
    return { events, head };
  };

  return {
    path,
    bench_id,
    begin: (run_id, station) =>
      written(() => {
        const { head } = ledgerTail();
        enter({ act: "run-opened", run_id, station });
        return head;
      }),
    append: (run_id, bodies) => {
      let tail = tailOf(run_id);
      const add = (): void => {
        for (const body of bodies) tail = chained(run_id, body, tail);
      };
      // A single statement is a transaction by itself.
      const done = bodies.length === 1 ? attempt("written", add) : written(add);
      if (!done.ok) return done;
      tails.set(run_id, tail);
      return ok({ events: tail.seq, head: tail.head });
    },
    resume: (run_id) =>
      written(() => {
        const ledger = ledgerTail().head;
        const { seq: events, head } = tailOf(run_id);
        enter({ act: "run-resumed", run_id, events, head });
        return { ledger, bodies: readBodies(run_id) };
      }),
    finish: (run_id, summary, key) => {
      const done = written(() => closeRun(run_id, summary, key));
      if (done.ok) tails.delete(run_id);
      return done;
    },
    note: (act) => written(() => enter(act).head),
    create: (software_version, schema) =>
      written(() => {
        if (file.prepare("select 1 from bench_ledger limit 1").get() !== undefined) return false;
        enter({ act: "store-created", bench_id, software_version, schema });
        return true;
      }),
    bodies: (run_id) => attempt("read", () => readBodies(run_id)),
    openRuns: () =>
      attempt("read", () =>
        file
          // From one run to the next by the key: all events of a store are not read for this.
          .prepare(
            `with recursive each(run_id) as (
               select min(run_id) from events
               union all
               select (select min(run_id) from events where events.run_id > each.run_id) from each where run_id is not null
             )
             select run_id from each
             where run_id is not null and not exists (select 1 from runs where runs.run_id = each.run_id)`,
          )
          .all()
          .map((row) => (row as { readonly run_id: string }).run_id),
      ),
    close: () => closeSqlite(file),
  };
};
