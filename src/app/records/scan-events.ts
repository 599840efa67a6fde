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

/**
 * Some events after one another in one piece, and their hashes in another: fewer pieces are quicker to fetch. A zero stands
 * before each event but the first: it is that of its leaf, and canonical JSON never holds one. What is out of order or of
 * another length does not hang together, and is looked at closely.
 */
const ROWS = `select count(*), cast(group_concat(body, char(0)) as blob), cast(group_concat(hash, '') as blob)
  from (select body, hash from events where run_id = cast(? as text) and seq between ? and ? order by seq)`;

const AT_ONCE = 24;
const HASH_DIGITS = 64;
const ZERO = Uint8Array.of(0);

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
  const some = file.prepare(ROWS).raw();
  const countOf = file.prepare("select count(*), min(seq), max(seq) from events where run_id = cast(? as text)").raw();
  let [events, bytes] = [0, 0];
  for (const name of runNames(file, from, below)) {
    const run_id = name.toString("utf8");
    const [count, first, last] = countOf.get([name]) as [number, number, number];
    let head = EMPTY_HEAD;
    let seen = 0;
    for (let seq = first; seq <= last && seen < count; seq += AT_ONCE) {
      const [n, piece, hashes] = some.get([name, seq, seq + AT_ONCE - 1]) as [number, Buffer | null, Buffer | null];
      seen += n;
      // Nothing at all where each event is one that cannot be put together.
      if (piece === null || hashes === null) continue;
      const said = hashes.toString("latin1");
      if (said.length !== n * HASH_DIGITS) broken.add(run_id);
      let at = 0;
      for (let i = 0; i < n; i += 1) {
        const next = piece.indexOf(0, at + 1);
        const end = next < 0 ? piece.length : next;
        head = link(head, i === 0 ? Buffer.concat([ZERO, piece.subarray(0, end)]) : piece.subarray(at, end));
        if (said.slice(i * HASH_DIGITS, (i + 1) * HASH_DIGITS) !== head) broken.add(run_id);
        if (seq === 1 && i === 0) {
          const named = LEDGER.exec(piece.toString("utf8", 0, end))?.[1];
          if (named !== undefined) ledgerHeads.set(run_id, named);
        }
        at = end;
      }
      bytes += piece.length - n + 1;
      if (at !== piece.length) broken.add(run_id);
    }
    if (first !== 1 || last !== count || seen !== count) broken.add(run_id);
    events += count;
    chains.set(run_id, { events: count, head });
  }
  const strange = file
    .prepare(
      `select cast(run_id as blob) from events
       where run_id >= cast(? as text) and (? is null or run_id < cast(? as text)) and (${STRANGE})`,
    )
    .raw()
    .all(Buffer.from(from), below, Buffer.from(below ?? "")) as [Uint8Array][];
  for (const [run] of strange) broken.add(Buffer.from(run).toString("utf8"));
  return { chains, broken: [...broken], ledgerHeads, events, bytes };
};

export const joinScans = (scans: readonly EventScan[]): EventScan => ({
  chains: new Map(scans.flatMap((s) => [...s.chains])),
  broken: scans.flatMap((s) => s.broken),
  ledgerHeads: new Map(scans.flatMap((s) => [...s.ledgerHeads])),
  events: scans.reduce((n, s) => n + s.events, 0),
  bytes: scans.reduce((n, s) => n + s.bytes, 0),
});
