import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { recordHead } from "../hash-chain.ts";
import { EXPORT_FORMAT } from "./export-records.ts";
import { type ExpectedChain, type Finding, finding, type Proof, type ProofRow } from "./proof.ts";
import { proveChain } from "./prove-chain.ts";
import { proveLedger } from "./prove-ledger.ts";
import { type ProveOptions, proveParts } from "./prove-parts.ts";
import type { EventScan } from "./scan-events.ts";
import type { CertificateActsTable, ReferencesUsedTable, RunsTable, SignaturesTable } from "./tables.ts";

/** Copies of records outside of a store: a folder as `export` writes it, and a single record. */

const textAt = (path: string): string => (existsSync(path) ? readFileSync(path, "utf8") : "");
const linesOf = (text: string): readonly string[] => text.split("\n").slice(0, -1);

const rowsOf = (bodies: string, hashes: string | null): readonly ProofRow[] => {
  const beside = hashes === null ? null : linesOf(hashes);
  return linesOf(bodies).map((body, i) => ({ seq: i + 1, body, hash: beside === null ? null : (beside[i] ?? "") }));
};

/** Rows of a table; one that is no JSON any more is a finding. */
const table = <T>(folder: string, name: string, findings: Finding[]): readonly T[] => {
  try {
    return linesOf(textAt(join(folder, name))).map((line) => JSON.parse(line) as T);
  } catch {
    findings.push(finding("changed", name, `${name} was changed: it holds a line that is not JSON.`));
    return [];
  }
};

interface Manifest {
  readonly format: string;
  readonly bench_id: string;
  readonly whole: boolean;
  readonly runs: readonly { readonly run_id: string }[];
}

const LEDGER = /"ledger":\{"bench_id":"[^"]*","head":"([0-9a-f]{64})"\}/u;

/** The same as is done to a store, over the files of an export. */
const proveFolder = (folder: string, manifest: Manifest, options: ProveOptions): Proof => {
  const findings: Finding[] = [];
  const texts = new Map(
    manifest.runs.map(({ run_id }) => [run_id, textAt(join(folder, "runs", `${run_id}.record.jsonl`))]),
  );
  const rows = new Map(
    [...texts].map(([run_id, text]) => [run_id, rowsOf(text, textAt(join(folder, "runs", `${run_id}.hashes.txt`)))]),
  );
  for (const [run_id, text] of texts) {
    if (text !== "" && !text.endsWith("\n"))
      findings.push(finding("cut", `run ${run_id}`, `CUT at its end: the last line of run ${run_id} breaks off.`));
  }
  const present = [...rows].filter(([, list]) => list.length > 0);
  const scan: EventScan = {
    chains: new Map(
      present.map(([run_id, list]) => [run_id, { events: list.length, head: recordHead(texts.get(run_id) ?? "") }]),
    ),
    broken: present.flatMap(([run_id, list]) => (proveChain(list, run_id, null).length > 0 ? [run_id] : [])),
    ledgerHeads: new Map(
      present.flatMap(([run_id, [first]]) => {
        const head = LEDGER.exec(first?.body ?? "")?.[1];
        return head === undefined ? [] : [[run_id, head] as const];
      }),
    ),
    events: present.reduce((n, [, list]) => n + list.length, 0),
    bytes: [...texts.values()].reduce((n, text) => n + text.length, 0),
  };
  const ledger = rowsOf(textAt(join(folder, "ledger.jsonl")), textAt(join(folder, "ledger-hashes.txt")));
  const proved = proveParts(
    {
      scan,
      rowsOf: (run_id) => rows.get(run_id) ?? [],
      ledgers: ledger.length === 0 ? [] : [proveLedger(manifest.bench_id, ledger)],
      runs: table<RunsTable>(folder, "runs.jsonl", findings),
      references: table<ReferencesUsedTable>(folder, "references.jsonl", findings),
      signatures: table<SignaturesTable>(folder, "signatures.jsonl", findings),
      acts: table<CertificateActsTable>(folder, "certificate-acts.jsonl", findings),
      only: manifest.whole ? undefined : new Set(texts.keys()),
    },
    options,
  );
  return {
    place: folder,
    runs: scan.chains.size,
    events: scan.events,
    bytes: scan.bytes,
    findings: [...findings, ...proved.findings],
    notes: [...(manifest.whole ? [] : ["The export says that it holds some runs of the store only."]), ...proved.notes],
  };
};

export const isExport = (folder: string): boolean => existsSync(join(folder, "export.json"));

export const proveExport = (folder: string, options: ProveOptions = {}): Proof => {
  let manifest: Manifest | null = null;
  try {
    manifest = JSON.parse(readFileSync(join(folder, "export.json"), "utf8")) as Manifest;
    if (manifest.format === EXPORT_FORMAT && Array.isArray(manifest.runs))
      return proveFolder(folder, manifest, options);
  } catch (error) {
    if (!(error instanceof SyntaxError)) throw error;
  }
  const text = "export.json was changed: it is not the list that an export begins with.";
  return {
    place: folder,
    runs: 0,
    events: 0,
    bytes: 0,
    findings: [finding("changed", "export.json", text)],
    notes: [],
  };
};

/** One record by itself. That it was changed shows only against a head from outside; that it lacks events, at once. */
export const proveRecord = (path: string, text: string, options: ProveOptions = {}): Proof => {
  const rows = rowsOf(text, null);
  const run_id = /"run_id":"([^"]+)"/u.exec(rows[0]?.body ?? "")?.[1] ?? "that is not named";
  const where = `run ${run_id}`;
  const named = (options.heads ?? []).filter((h) => h.run_id === run_id);
  const torn =
    text === "" || text.endsWith("\n")
      ? []
      : [finding("cut", where, `CUT at its end: the last line of ${where} breaks off.`)];
  const expected: readonly (ExpectedChain | null)[] =
    named.length === 0 ? [null] : named.map(({ head, by }) => ({ events: null, head, by }));
  const ended = /"kind":"run-ended"/u.test(rows.at(-1)?.body ?? "");
  const said = expected.map((one) => proveChain(rows, where, one)).find((found) => found.length > 0) ?? [];
  // Numbered on from its beginning, without an ending, and short of the head that is named.
  const short = !ended && said[0]?.kind === "changed" && proveChain(rows, where, null).length === 0;
  const seen = short
    ? [
        finding(
          "cut",
          where,
          `CUT at its end: ${where} does not reach the head that ${named[0]?.by} names, nor its ending.`,
        ),
      ]
    : said;
  const others = (options.heads ?? []).filter((h) => h.run_id !== run_id);
  return {
    place: path,
    runs: 1,
    events: rows.length,
    bytes: text.length,
    findings: [
      ...torn,
      ...(rows.length === 0 ? [finding("cut", where, "CUT: there is no event in it.")] : seen),
      ...others.map(({ by, run_id: other }) =>
        finding("replaced", where, `REPLACED: ${by} rests on run ${other}, and this is ${where}.`),
      ),
    ],
    notes: [
      `Head of ${where}: ${recordHead(text)}.`,
      ...(ended ? [] : [`The last event of ${where} is not its ending: it broke off, or its end was cut.`]),
      ...(named.length > 0
        ? []
        : [
            "Nothing from outside was given to hold it against: give the certificate with --certificate, or the store.",
          ]),
    ],
  };
};
