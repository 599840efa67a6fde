import { EMPTY_HEAD, nextHead } from "../hash-chain.ts";
import { ledgerName } from "./head-signature.ts";
import { type ExpectedChain, type Finding, finding, type ProofRow } from "./proof.ts";
import { proveChain } from "./prove-chain.ts";
import type { LedgerSays } from "./prove-ledger.ts";
import { proveActs, proveRuns, proveSignatures } from "./prove-rows.ts";
import type { EventScan } from "./scan-events.ts";
import type { CertificateActsTable, ReferencesUsedTable, RunsTable, SignaturesTable } from "./tables.ts";

/** A head that lies outside of what is proved, such as that of a certificate. */
export interface OutsideHead {
  readonly run_id: string;
  readonly head: string;
  /** Who names it, for messages: `certificate TK-1`. */
  readonly by: string;
}

export interface ProveOptions {
  /** Public keys that the reader knows to be the laboratory's. */
  readonly keys?: readonly string[];
  readonly heads?: readonly OutsideHead[];
}

/** What a store or a copy of one holds. */
export interface StoreParts {
  readonly scan: EventScan;
  readonly rowsOf: (run_id: string) => readonly ProofRow[];
  /** What the chains of benches say; there has to be one. */
  readonly ledgers: readonly LedgerSays[];
  readonly runs: readonly RunsTable[];
  readonly references: readonly ReferencesUsedTable[];
  readonly signatures: readonly SignaturesTable[];
  readonly acts: readonly CertificateActsTable[];
  /** A copy may hold some runs of a store only. */
  readonly only?: ReadonlySet<string> | undefined;
}

const headAfter = (rows: readonly ProofRow[], events: number): string =>
  rows.slice(0, events).reduce((head, { body }) => nextHead(head, body), EMPTY_HEAD);

const expectedOf = (says: LedgerSays, run_id: string): ExpectedChain | null => {
  const closed = says.closed.get(run_id);
  return closed === undefined ? null : { events: closed.events, head: closed.head, by: "the bench's chain" };
};

const proveEvents = (
  says: LedgerSays,
  { scan, rowsOf }: StoreParts,
  heads: readonly OutsideHead[],
): readonly Finding[] => {
  const wrong = new Set(scan.broken);
  for (const [run_id, { events, head }] of says.closed) {
    const chain = scan.chains.get(run_id);
    if (chain !== undefined && (chain.head !== head || chain.events !== events)) wrong.add(run_id);
  }
  const findings = [...wrong].flatMap((run_id): readonly Finding[] => {
    const said = proveChain(rowsOf(run_id), `run ${run_id}`, expectedOf(says, run_id));
    return said.length > 0 ? said : [finding("changed", `run ${run_id}`, `An event of run ${run_id} was changed.`)];
  });
  for (const { run_id, events, head } of says.resumed) {
    const there = events === 0 || wrong.has(run_id) ? undefined : headAfter(rowsOf(run_id), events);
    if (there !== undefined && there !== head) {
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

const notesOf = (
  says: readonly LedgerSays[],
  signatures: readonly SignaturesTable[],
  options: ProveOptions,
): readonly string[] => {
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

/** The bench's chain as far as it speaks of some runs. */
const onlyOf = (says: LedgerSays, only: ReadonlySet<string>): LedgerSays => ({
  ...says,
  closed: new Map([...says.closed].filter(([run_id]) => only.has(run_id))),
  resumed: says.resumed.filter(({ run_id }) => only.has(run_id)),
});

/** Holds everything against everything else. */
export const proveParts = (
  parts: StoreParts,
  options: ProveOptions,
): { readonly findings: readonly Finding[]; readonly notes: readonly string[] } => {
  const { ledgers } = parts;
  const [whole] = ledgers;
  if (whole === undefined || ledgers.length > 1) {
    const text = `There are ${ledgers.length} chains of benches instead of one.`;
    return { findings: [finding("changed", "the chain of the bench", text)], notes: [] };
  }
  const says = parts.only === undefined ? whole : onlyOf(whole, parts.only);
  return {
    findings: [
      ...says.findings,
      ...proveEvents(says, parts, options.heads ?? []),
      ...proveRuns(says, parts.scan, parts.runs, parts.references),
      ...proveSignatures(says, parts.scan, parts.signatures, options.keys ?? []),
      ...proveActs(parts.acts),
    ],
    notes: notesOf(ledgers, parts.signatures, options),
  };
};
