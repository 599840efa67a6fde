import { availableParallelism } from "node:os";
import { groupRows } from "./group-rows.ts";
import { ledgerName } from "./head-signature.ts";
import { type ExpectedChain, type Finding, finding, type Proof, type ProofRow } from "./proof.ts";
import { proveChain } from "./prove-chain.ts";
import { proveFile } from "./prove-file.ts";
import { type LedgerSays, proveLedger } from "./prove-ledger.ts";
import { proveActs, proveRuns, proveSignatures } from "./prove-rows.ts";
import { type EventScan, scanEvents } from "./scan-events.ts";
import { scanInThreads } from "./scan-in-threads.ts";
import { openSqlite, type SqliteFile } from "./sqlite-file.ts";
import { isDamage } from "./store-fault.ts";
import type { CertificateActsTable, ReferencesUsedTable, RunsTable, SignaturesTable } from "./tables.ts";

export interface ProveOptions {
  /** Public keys that the reader knows to be the laboratory's. */
  readonly keys?: readonly string[];
  /** Heads that lie outside of the store, such as those of certificates. */
  readonly heads?: readonly { readonly run_id: string; readonly head: string; readonly by: string }[];
  /** How many threads hash at once; 0 is none but the caller's. All cores when it is left out. */
  readonly threads?: number;
}

/** From here on it pays to start threads. */
const MANY_MB = 64;

const all = <T>(file: SqliteFile, query: string): readonly T[] => file.prepare(query).all() as T[];

const RUNS = `select run_id, bench_id, station, kind, started_utc, ended_utc, ending, simulated, operator, unit_serial,
  unit_tag, unit_model, unit_maker, customer, batch, verdict_found, verdict_left, verdict, largest_error_percent, next_due,
  events, head, software_version, search_text, facts from runs`;

/** The binding hangs a note of its own on every row. */
const plain = <T extends object>(row: T): T => {
  const { _metadata: _, ...rest } = row as T & { readonly _metadata?: unknown };
  return rest as T;
};

const expectedOf = (says: LedgerSays, run_id: string): ExpectedChain | null => {
  const closed = says.closed.get(run_id);
  return closed === undefined ? null : { events: closed.events, head: closed.head, by: "the bench's chain" };
};

const proveEvents = (
  file: SqliteFile,
  says: LedgerSays,
  scan: EventScan,
  heads: NonNullable<ProveOptions["heads"]>,
): readonly Finding[] => {
  const wrong = new Set(scan.broken);
  for (const [run_id, { events, head }] of says.closed) {
    const chain = scan.chains.get(run_id);
    if (chain !== undefined && (chain.head !== head || chain.events !== events)) wrong.add(run_id);
  }
  const rowsOf = file.prepare("select seq, body, hash from events where run_id = ? order by seq");
  const findings = [...wrong].flatMap((run_id): readonly Finding[] => {
    const rows = (rowsOf.all(run_id) as ProofRow[]).map((row) =>
      typeof row.body === "string" ? row : { ...row, body: String(row.body) },
    );
    const said = proveChain(rows, `run ${run_id}`, expectedOf(says, run_id));
    return said.length > 0 ? said : [finding("changed", `run ${run_id}`, `An event of run ${run_id} was changed.`)];
  });
  const hashAt = file.prepare("select hash from events where run_id = ? and seq = ?");
  for (const { run_id, events, head } of says.resumed) {
    const there = events === 0 || wrong.has(run_id) ? undefined : hashAt.get(run_id, events);
    if (there !== undefined && (there as { readonly hash: string }).hash !== head) {
      findings.push(
        finding("replaced", `run ${run_id}`, `REPLACED: run ${run_id} is not the one that was gone on with.`),
      );
    }
  }
  for (const { run_id, head, by } of heads) {
    const chain = scan.chains.get(run_id);
    if (chain === undefined)
      findings.push(finding("cut", `run ${run_id}`, `CUT: run ${run_id}, which ${by} names, is gone.`));
    else if (chain.head !== head && !wrong.has(run_id)) {
      findings.push(
        finding(
          "replaced",
          `run ${run_id}`,
          `REPLACED: run ${run_id} is whole in itself, but ${by} names another head.`,
        ),
      );
    }
  }
  return findings;
};

const notesOf = (says: readonly LedgerSays[], signatures: readonly SignaturesTable[], options: ProveOptions) => {
  const notes: string[] = [];
  if (signatures.length === 0) {
    notes.push(
      "No head is signed: that the whole store was built anew cannot be seen without a certificate or a signature.",
    );
  } else if ((options.keys ?? []).length === 0) {
    notes.push("You named no key: the signatures were held against the keys that the store itself names.");
  }
  for (const { bench_id, head, closed, opened } of says) {
    const unfinished = [...opened].filter((run_id) => !closed.has(run_id));
    if (unfinished.length > 0) notes.push(`Not finished: ${unfinished.join(", ")}.`);
    const signed = signatures.some((s) => s.run_id === ledgerName(bench_id) && s.head === head);
    notes.push(`Head of the chain of bench ${bench_id}: ${head}${signed ? ", signed" : ""}.`);
  }
  return notes;
};

const proveOpen = async (file: SqliteFile, path: string, options: ProveOptions): Promise<Proof> => {
  const inFile = await proveFile(file, path);
  const { pages, size } = file
    .prepare("select page_count as pages, page_size as size from pragma_page_count(), pragma_page_size()")
    .get() as { readonly pages: number; readonly size: number };
  const threads = options.threads ?? (pages * size < MANY_MB * 1e6 ? 0 : Math.min(availableParallelism(), 8));
  const scan = threads > 0 ? await scanInThreads(file, path, threads) : scanEvents(file);
  const entries = groupRows(
    all<ProofRow & { readonly bench_id: string }>(
      file,
      "select bench_id, seq, body, hash from bench_ledger order by bench_id, seq",
    ),
    (row) => row.bench_id,
  );
  const ledgers = [...entries].map(([bench_id, rows]) => proveLedger(bench_id, rows));
  const runs = all<RunsTable>(file, RUNS).map(plain);
  const references = all<ReferencesUsedTable>(file, "select * from references_used").map(plain);
  const signatures = all<SignaturesTable>(file, "select * from signatures").map(plain);
  const acts = all<CertificateActsTable>(file, "select * from certificate_acts").map(plain);
  const says = ledgers[0];
  const more =
    says === undefined || ledgers.length > 1
      ? [
          finding(
            "changed",
            "the chain of the bench",
            `The store holds ${ledgers.length} chains of benches instead of one.`,
          ),
        ]
      : [
          ...says.findings,
          ...proveEvents(file, says, scan, options.heads ?? []),
          ...proveRuns(says, scan, runs, references),
          ...proveSignatures(says, scan, signatures, options.keys ?? []),
        ];
  return {
    place: path,
    runs: scan.chains.size,
    events: scan.events,
    bytes: scan.bytes,
    findings: [...more, ...proveActs(acts), ...inFile],
    notes: notesOf(ledgers, signatures, options),
  };
};

/** Proves a store as a whole. What cannot be read is a finding; only a mistake of this program is thrown. */
export const proveStore = async (path: string, options: ProveOptions = {}): Promise<Proof> => {
  let file: SqliteFile | null = null;
  try {
    file = openSqlite(path, "read");
    return await proveOpen(file, path, options);
  } catch (error) {
    if (!(error instanceof Error) || (!("code" in error) && !isDamage(error) && error instanceof TypeError))
      throw error;
    const text = `The store cannot be read to its end: ${error.message}.`;
    return {
      place: path,
      runs: 0,
      events: 0,
      bytes: 0,
      findings: [finding("unreadable", "the file", text)],
      notes: [],
    };
  } finally {
    file?.close();
  }
};
