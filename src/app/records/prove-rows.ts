import { canonicalJson } from "../canonical-json.ts";
import { EMPTY_HEAD, nextHead } from "../hash-chain.ts";
import { groupRows } from "./group-rows.ts";
import { headSignatureHolds, ledgerName } from "./head-signature.ts";
import { type Finding, finding } from "./proof.ts";
import type { LedgerSays } from "./prove-ledger.ts";
import { benchChain } from "./prove-ledger.ts";
import { summaryDigest } from "./run-summary.ts";
import type { EventScan } from "./scan-events.ts";
import type { CertificateActsTable, ReferencesUsedTable, RunsTable, SignaturesTable } from "./tables.ts";

/** Everything of a store but its events, against what its chain says. */

export const proveRuns = (
  says: LedgerSays,
  scan: EventScan,
  rows: readonly RunsTable[],
  references: readonly ReferencesUsedTable[],
): readonly Finding[] => {
  const findings: Finding[] = [];
  const found = new Map(rows.map((row) => [row.run_id, row]));
  const used = groupRows(references, (r) => r.run_id);
  for (const [run_id, { summary_sha256, events }] of says.closed) {
    const row = found.get(run_id);
    if (row === undefined) {
      if (summary_sha256 !== null)
        findings.push(finding("cut", `run ${run_id}`, `CUT: the summary of run ${run_id} is gone.`));
    } else if (summaryDigest(row, used.get(run_id) ?? []) !== summary_sha256) {
      findings.push(
        finding("changed", `run ${run_id}`, `The summary or the list of references of run ${run_id} was changed.`),
      );
    }
    if (events > 0 && !scan.chains.has(run_id)) {
      findings.push(
        finding(
          "cut",
          `run ${run_id}`,
          `CUT: run ${run_id} is gone as a whole; the bench's chain knows ${events} events of it.`,
        ),
      );
    }
  }
  for (const { run_id } of rows) {
    if (!says.closed.has(run_id)) {
      findings.push(
        finding(
          "changed",
          `run ${run_id}`,
          `There is a summary of run ${run_id}, which the bench's chain never closed.`,
        ),
      );
    }
  }
  for (const run_id of used.keys()) {
    if (!found.has(run_id))
      findings.push(
        finding("changed", `run ${run_id}`, `There are references of run ${run_id}, which has no summary.`),
      );
  }
  const strangers = [...scan.chains.keys()].filter((run_id) => !says.opened.has(run_id));
  if (strangers.length > 0) {
    findings.push(
      finding(
        "cut",
        benchChain(says.bench_id),
        `CUT: ${benchChain(says.bench_id)} does not know run ${strangers[0]}${strangers.length > 1 ? ` and ${strangers.length - 1} more` : ""}; its end was cut off, or the run was brought in.`,
      ),
    );
  }
  const unknown = [...scan.ledgerHeads].find(([run_id, head]) => !says.heads.has(head) && says.opened.has(run_id));
  if (unknown !== undefined) {
    findings.push(
      finding(
        "replaced",
        benchChain(says.bench_id),
        `REPLACED: run ${unknown[0]} was entered in another chain than the one that is there; ${benchChain(says.bench_id)} was built anew.`,
      ),
    );
  }
  return findings;
};

/** `keys`: public keys that the reader knows to be the laboratory's; without any, those that the bench's chain names. */
export const proveSignatures = (
  says: LedgerSays,
  scan: EventScan,
  signatures: readonly SignaturesTable[],
  keys: readonly string[],
): readonly Finding[] => {
  const known = keys.length > 0 ? new Set(keys) : says.keys;
  return signatures.flatMap((row): readonly Finding[] => {
    const ofLedger = row.run_id === ledgerName(says.bench_id);
    const where = ofLedger ? benchChain(says.bench_id) : `run ${row.run_id}`;
    if (!headSignatureHolds(row)) return [finding("changed", where, `A signature of ${where} was changed or forged.`)];
    if (!known.has(row.public_key)) {
      return [
        finding(
          "unknown-key",
          where,
          `UNKNOWN KEY: ${where} is signed with ${row.public_key}, which is not a known key.`,
        ),
      ];
    }
    // Where the bench's chain names the same head, what is wrong with the events is told of them.
    const there = [scan.chains.get(row.run_id)?.head, says.closed.get(row.run_id)?.head];
    const fits = ofLedger ? says.heads.has(row.head) : there.includes(row.head);
    if (fits || (!ofLedger && !scan.chains.has(row.run_id))) return [];
    return [
      finding(
        "replaced",
        where,
        `REPLACED: the head of ${where} that was signed on ${row.utc} is not the one that is there.`,
      ),
    ];
  });
};

/** Lines of certificate ledgers as they were mirrored. */
export const proveActs = (acts: readonly CertificateActsTable[]): readonly Finding[] =>
  [...groupRows(acts, (a) => a.certificates_id)].flatMap(([id, rows]) => {
    const where = `the acts of certificates ${id}`;
    let head = EMPTY_HEAD;
    /** Run of each draft, by its place and by its number; a later draft of a number takes the place of an earlier one. */
    const drafts = new Map<unknown, unknown>();
    for (const [i, act] of rows.toSorted((a, b) => a.seq - b.seq).entries()) {
      head = nextHead(head, act.body);
      const line = entryOf(act.body);
      if (line?.entry["act"] === "drafted") {
        drafts.set(act.seq, line.entry["run_id"]).set(line.entry["number"], line.entry["run_id"]);
      }
      const whole =
        line !== null &&
        act.hash === head &&
        act.seq === i &&
        line.entry["number"] === act.number &&
        line.entry["act"] === act.act &&
        line.utc === act.utc &&
        act.run_id === (drafts.get(line.entry["drafted"]) ?? drafts.get(act.number) ?? null);
      if (!whole)
        return [finding("changed", where, `Act ${act.seq} of ${where} was changed, or one before it is gone.`)];
    }
    return rows[0]?.certificates_id === id && firstHead(rows).startsWith(id)
      ? []
      : [finding("changed", where, `The mark of ${where} was changed.`)];
  });

const firstHead = (rows: readonly CertificateActsTable[]): string =>
  rows.reduce((a, b) => (a.seq < b.seq ? a : b)).hash;

const entryOf = (body: string): { readonly utc: unknown; readonly entry: Readonly<Record<string, unknown>> } | null => {
  try {
    const json = JSON.parse(body) as { readonly utc?: unknown; readonly entry?: unknown };
    return canonicalJson(json) === body && typeof json.entry === "object" && json.entry !== null
      ? { utc: json.utc, entry: json.entry as Readonly<Record<string, unknown>> }
      : null;
  } catch {
    return null;
  }
};
