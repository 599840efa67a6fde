import { availableParallelism } from "node:os";
import { groupRows } from "./group-rows.ts";
import { finding, type Proof, type ProofRow } from "./proof.ts";
import { proveFile } from "./prove-file.ts";
import { proveLedger } from "./prove-ledger.ts";
import { type ProveOptions, proveParts } from "./prove-parts.ts";
import { ACT_ROW, EVENT_ROW, LEDGER_ROW, REFERENCE_ROW, RUN_ROW, SIGNATURE_ROW, safeRows } from "./safe-rows.ts";
import { scanEvents } from "./scan-events.ts";
import { scanInThreads } from "./scan-in-threads.ts";
import { openSqlite, READ_IN_PLACE, type SqliteFile } from "./sqlite-file.ts";
import { isDamage } from "./store-fault.ts";
import type { CertificateActsTable, ReferencesUsedTable, RunsTable, SignaturesTable } from "./tables.ts";

export interface ProveStoreOptions extends ProveOptions {
  /** How many threads hash at once; 0 is none but the caller's. All cores when it is left out. */
  readonly threads?: number;
}

/** From here on it pays to start threads. */
const MANY_MB = 64;

const proveOpen = async (file: SqliteFile, path: string, options: ProveStoreOptions): Promise<Proof> => {
  const inFile = await proveFile(file, path);
  const { pages, size } = file
    .prepare("select page_count as pages, page_size as size from pragma_page_count(), pragma_page_size()")
    .get() as { readonly pages: number; readonly size: number };
  const threads = options.threads ?? (pages * size < MANY_MB * 1e6 ? 0 : Math.min(availableParallelism(), 8));
  if (pages * size >= MANY_MB * 1e6) file.exec(READ_IN_PLACE);
  // Threads hash while the rest is read and the bench's chain is gone through.
  const scanning = threads > 0 ? scanInThreads(file, path, threads) : Promise.resolve(scanEvents(file));
  // What goes wrong there is told below, unless what comes before it goes wrong as well.
  scanning.catch(() => {});
  const entries = safeRows<ProofRow & { readonly bench_id: string }>(
    file,
    "bench_ledger",
    LEDGER_ROW,
    "order by bench_id, seq",
  );
  const rest = {
    ledgers: [...groupRows(entries, (row) => row.bench_id)].map(([bench_id, rows]) => proveLedger(bench_id, rows)),
    runs: safeRows<RunsTable>(file, "runs", RUN_ROW),
    references: safeRows<ReferencesUsedTable>(file, "references_used", REFERENCE_ROW),
    signatures: safeRows<SignaturesTable>(file, "signatures", SIGNATURE_ROW),
    acts: safeRows<CertificateActsTable>(file, "certificate_acts", ACT_ROW),
  };
  const scan = await scanning;
  const { findings, notes } = proveParts(
    {
      scan,
      rowsOf: (run_id) => safeRows(file, "events", EVENT_ROW, "where run_id = ? order by seq", run_id),
      ...rest,
    },
    options,
  );
  // Threads look at another moment than this one, and a run may be going on: what they find is looked at in one view.
  if (threads > 0 && findings.length > 0) return proveOpen(file, path, { ...options, threads: 0 });
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
    // One view of the store, whatever a run beside it writes meanwhile.
    file.exec("begin");
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
