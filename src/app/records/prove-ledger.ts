import { EMPTY_HEAD, nextHead } from "../hash-chain.ts";
import { type BenchActOf, type BenchEntry, parseBenchEntry } from "./bench-act.ts";
import { type Finding, finding, type ProofRow } from "./proof.ts";
import { proveChain } from "./prove-chain.ts";

/** What the chain of a bench says has to be in its store. */
export interface LedgerSays {
  readonly bench_id: string;
  readonly heads: ReadonlySet<string>;
  readonly head: string;
  readonly opened: ReadonlySet<string>;
  readonly closed: ReadonlyMap<string, BenchActOf<"run-closed">>;
  readonly resumed: readonly BenchActOf<"run-resumed">[];
  readonly keys: ReadonlySet<string>;
  readonly findings: readonly Finding[];
}

export const benchChain = (bench_id: string): string => `the chain of bench ${bench_id}`;

const entryFindings = (bench_id: string, entries: readonly (BenchEntry | null)[]): readonly Finding[] => {
  const where = benchChain(bench_id);
  const strange = entries.indexOf(null);
  if (strange >= 0) return [finding("changed", where, `Entry ${strange + 1} of ${where} was changed: it is no entry.`)];
  const first = entries[0]?.entry;
  return first?.act === "store-created" && first.bench_id === bench_id
    ? []
    : [finding("cut", where, `CUT at its beginning: ${where} does not begin with the making of its store.`)];
};

/** Checks a bench's chain, and gives what it says. */
export const proveLedger = (bench_id: string, rows: readonly ProofRow[]): LedgerSays => {
  const where = benchChain(bench_id);
  const heads = new Set<string>([EMPTY_HEAD]);
  let head = EMPTY_HEAD;
  let whole = true;
  const entries: (BenchEntry | null)[] = [];
  for (const [i, row] of rows.entries()) {
    const entry = parseBenchEntry(row.body);
    whole &&= entry?.seq === i + 1 && row.seq === i + 1 && entry.previous === head;
    head = nextHead(head, row.body);
    whole &&= row.hash === null || row.hash === head;
    heads.add(head);
    entries.push(entry);
  }
  const chain = whole ? [] : proveChain(rows, where, null);
  const strange = entryFindings(bench_id, entries);
  const findings =
    chain.length > 0 || strange.length > 0 || whole
      ? [...chain, ...strange]
      : [finding("changed", where, `An entry of ${where} does not continue those before it.`)];
  const acts = entries.flatMap((e) => (e === null ? [] : [e.entry]));
  const closed = acts.filter((a) => a.act === "run-closed");
  return {
    bench_id,
    heads,
    head,
    opened: new Set(acts.flatMap((a) => (a.act === "run-opened" ? [a.run_id] : []))),
    closed: new Map(closed.map((a) => [a.run_id, a])),
    resumed: acts.filter((a) => a.act === "run-resumed"),
    keys: new Set(acts.flatMap((a) => (a.act === "key-used" ? [a.public_key] : []))),
    findings,
  };
};
