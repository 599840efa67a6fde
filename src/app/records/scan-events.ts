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

/** What cannot be read as what it has to be. The binding ends the program on texts that are not UTF-8, so they come as bytes. */
const STRANGE = "typeof(seq) <> 'integer' or typeof(body) <> 'text' or typeof(hash) <> 'text'";

/** Event, then its hash, in one piece: fewer pieces are quicker to fetch. The zero in front is that of a leaf. */
const ROWS = `select cast(seq as integer), cast(char(0) || body || hash as blob) from events where run_id = cast(? as text)
  order by seq`;

const HASH_DIGITS = 64;

/** Names of all runs, from one (included) to another (left out), as bytes: from each to the next by the key. */
const NAMES = `with recursive each(run_id) as (
    select min(run_id) from events where run_id >= cast(? as text)
    union all
    select (select min(run_id) from events where events.run_id > each.run_id) from each where run_id is not null
  )
  select cast(run_id as blob) from each where run_id is not null and (? is null or run_id < cast(? as text))`;

export const runNames = (file: SqliteFile, from = "", below: string | null = null): readonly Buffer[] =>
  file
    .prepare(NAMES)
    .raw()
    .all(Buffer.from(from), below, Buffer.from(below ?? ""))
    .map((row) => Buffer.from((row as [Uint8Array])[0]));

/** Goes through the events of runs from one name (included) to another (left out), in their order. Throws what SQLite throws. */
export const scanEvents = (file: SqliteFile, from = "", below: string | null = null): EventScan => {
  const link = chainLinker();
  const chains = new Map<string, { readonly events: number; readonly head: string }>();
  const ledgerHeads = new Map<string, string>();
  const broken = new Set<string>();
  const rowsOf = file.prepare(ROWS).raw();
  let [events, bytes] = [0, 0];
  for (const name of runNames(file, from, below)) {
    const run_id = name.toString("utf8");
    let [head, seq] = [EMPTY_HEAD, 0];
    for (const [number, both] of rowsOf.iterate([name]) as Iterable<[number, Buffer | null]>) {
      seq += 1;
      const end = (both?.length ?? 0) - HASH_DIGITS;
      if (both === null || end < 1) {
        broken.add(run_id);
        continue;
      }
      bytes += end - 1;
      head = link(head, both.subarray(0, end));
      if (number !== seq || both.toString("latin1", end) !== head) broken.add(run_id);
      if (seq === 1) {
        const named = LEDGER.exec(both.toString("utf8", 1, end))?.[1];
        if (named !== undefined) ledgerHeads.set(run_id, named);
      }
    }
    events += seq;
    chains.set(run_id, { events: seq, head });
  }
  const strange = file.prepare(`select cast(run_id as blob) from events where ${STRANGE}`).raw().all() as [
    Uint8Array,
  ][];
  for (const [name] of strange) broken.add(Buffer.from(name).toString("utf8"));
  return { chains, broken: [...broken], ledgerHeads, events, bytes };
};

export const joinScans = (scans: readonly EventScan[]): EventScan => ({
  chains: new Map(scans.flatMap((s) => [...s.chains])),
  broken: scans.flatMap((s) => s.broken),
  ledgerHeads: new Map(scans.flatMap((s) => [...s.ledgerHeads])),
  events: scans.reduce((n, s) => n + s.events, 0),
  bytes: scans.reduce((n, s) => n + s.bytes, 0),
});
