import { availableParallelism } from "node:os";
import { groupRows } from "./group-rows.ts";
import { finding, type Proof, type ProofRow } from "./proof.ts";
import { proveFile } from "./prove-file.ts";
import { type ProveOptions, proveParts } from "./prove-parts.ts";
import { scanEvents } from "./scan-events.ts";
import { scanInThreads } from "./scan-in-threads.ts";
import { openSqlite, type SqliteFile } from "./sqlite-file.ts";
import { isDamage } from "./store-fault.ts";
import type { CertificateActsTable, ReferencesUsedTable, RunsTable, SignaturesTable } from "./tables.ts";

export interface ProveStoreOptions extends ProveOptions {
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

const proveOpen = async (file: SqliteFile, path: string, options: ProveStoreOptions): Promise<Proof> => {
  const inFile = await proveFile(file, path);
  const { pages, size } = file
    .prepare("select page_count as pages, page_size as size from pragma_page_count(), pragma_page_size()")
    .get() as { readonly pages: number; readonly size: number };
  const threads = options.threads ?? (pages * size < MANY_MB * 1e6 ? 0 : Math.min(availableParallelism(), 8));
  const scan = threads > 0 ? await scanInThreads(file, path, threads) : scanEvents(file);
  const events = file.prepare("select seq, body, hash from events where run_id = ? order by seq");
  const { findings, notes } = proveParts(
    {
      scan,
      rowsOf: (run_id) =>
        (events.all(run_id) as ProofRow[]).map(({ seq, body, hash }) => ({ seq, body: String(body), hash })),
      ledgers: groupRows(
        all<ProofRow & { readonly bench_id: string }>(
          file,
          "select bench_id, seq, body, hash from bench_ledger order by bench_id, seq",
        ),
        (row) => row.bench_id,
      ),
      runs: all<RunsTable>(file, RUNS).map(plain),
      references: all<ReferencesUsedTable>(file, "select * from references_used").map(plain),
      signatures: all<SignaturesTable>(file, "select * from signatures").map(plain),
      acts: all<CertificateActsTable>(file, "select * from certificate_acts").map(plain),
    },
    options,
  );
  return {
    place: path,
    runs: scan.chains.size,
    events: scan.events,
    bytes: scan.bytes,
    findings: [...findings, ...inFile],
    notes,
  };
};

/** Proves a store as a whole. What cannot be read is a finding; only a mistake of this program is thrown. */
export const proveStore = async (path: string, options: ProveStoreOptions = {}): Promise<Proof> => {
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
