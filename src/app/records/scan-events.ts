import { chainLinker, EMPTY_HEAD } from "../hash-chain.ts";
import type { SqliteFile } from "./sqlite-file.ts";

/** What one pass over the events of a store gives: each byte of them is hashed, none is parsed. */
export interface EventScan {
  readonly chains: ReadonlyMap<string, { readonly events: number; readonly head: string }>;
  /** Runs in which a link does not hold: to be looked at closely. */
  readonly broken: readonly string[];
  /** Head of the bench's chain that a run carries in its first event. */
  readonly ledgerHeads: ReadonlyMap<string, string>;
  readonly events: number;
  readonly bytes: number;
}

/** As canonical JSON has it, in the first event of a run. */
const LEDGER = /"ledger":\{"bench_id":"[^"]*","head":"([0-9a-f]{64})"\}/u;

/** The smallest text that is larger than every run's name. */
export const AFTER_ALL_RUNS = "\u{10ffff}";

/** Goes through the events of runs from one name (included) to another (left out), in their order. Throws what SQLite throws. */
export const scanEvents = (file: SqliteFile, from = "", below = AFTER_ALL_RUNS): EventScan => {
  const link = chainLinker();
  const chains = new Map<string, { readonly events: number; readonly head: string }>();
  const ledgerHeads = new Map<string, string>();
  const broken = new Set<string>();
  let [run, head, seq, events, bytes] = ["", EMPTY_HEAD, 0, 0, 0];
  const close = (): void => {
    if (seq > 0) chains.set(run, { events: seq, head });
  };
  const rows = file
    .prepare("select run_id, seq, body, hash from events where run_id >= ? and run_id < ? order by run_id, seq")
    .raw()
    .iterate(from, below) as Iterable<[string, number, string, string]>;
  for (const [run_id, number, body, hash] of rows) {
    if (run_id !== run || seq === 0) {
      close();
      [run, head, seq] = [run_id, EMPTY_HEAD, 0];
    }
    seq += 1;
    events += 1;
    if (typeof body !== "string") {
      broken.add(run_id);
      continue;
    }
    bytes += body.length;
    if (seq === 1) {
      const named = LEDGER.exec(body)?.[1];
      if (named !== undefined) ledgerHeads.set(run_id, named);
    }
    head = link(head, body);
    if (number !== seq || hash !== head) broken.add(run_id);
  }
  close();
  return { chains, broken: [...broken], ledgerHeads, events, bytes };
};

export const joinScans = (scans: readonly EventScan[]): EventScan => ({
  chains: new Map(scans.flatMap((s) => [...s.chains])),
  broken: scans.flatMap((s) => s.broken),
  ledgerHeads: new Map(scans.flatMap((s) => [...s.ledgerHeads])),
  events: scans.reduce((n, s) => n + s.events, 0),
  bytes: scans.reduce((n, s) => n + s.bytes, 0),
});
