import { readFileSync, writeFileSync } from "node:fs";
import { canonicalJson } from "../../../src/app/canonical-json.ts";
import { nextHead } from "../../../src/app/hash-chain.ts";
import { openRecords } from "../../../src/app/records/open-records.ts";
import type { RunSummary } from "../../../src/app/records/run-summary.ts";
import { closeSqlite, openSqlite } from "../../../src/app/records/sqlite-file.ts";
import { makeKeyPair, readSigningKey, type SigningKey } from "../../../src/app/sign-certificate.ts";
import { must } from "../practice-job.ts";

/** Stores small enough to be damaged thousands of times: the events are those of the golden record. */

const GOLDEN = readFileSync(new URL("../../readings/fixtures/record-version-1.jsonl", import.meta.url), "utf8");

/** Events of a run of this name, as they are kept. */
export const goldenBodies = (run_id: string, ledger?: { readonly bench_id: string; readonly head: string }): string[] =>
  GOLDEN.split("\n")
    .slice(0, -1)
    .map((line, i) => {
      const recorded = JSON.parse(line) as { event: Record<string, unknown> };
      const more = i === 0 ? { run_id, ...(ledger === undefined ? {} : { ledger }) } : {};
      return canonicalJson({ ...recorded, event: { ...recorded.event, ...more } });
    });

export const smallSummary = (run_id: string): RunSummary => ({
  run: {
    run_id,
    station: "cellar",
    kind: "calibration",
    started_utc: "2031-03-04T07:30:00.000Z",
    ended_utc: "2031-03-04T07:32:00.000Z",
    ending: "finished",
    simulated: 1,
    operator: "A. Technician",
    unit_serial: `HC15-${run_id}`,
    unit_tag: "PV-114",
    unit_model: "HC-15",
    unit_maker: "Hopwell Instruments",
    customer: "Three Kettles Brewery",
    batch: "",
    verdict_found: "fail",
    verdict_left: "pass",
    verdict: "pass",
    largest_error_percent: 0.123,
    next_due: "2031-09-04",
    software_version: "0.1.0",
    search_text: `${run_id} hc-15 pv-114 three kettles brewery`,
    facts: "{}",
  },
  references: [
    { role: "gauge", serial_number: "SIM-7", certificate_number: "SIM-26-0302", due: "2031-09-14" },
    { role: "current-meter", serial_number: "SIM-8", certificate_number: "SIM-26-0303", due: "2031-09-14" },
  ],
});

export const newKey = (folder: string, name = "laboratory"): SigningKey => {
  const path = `${folder}/${name}.pem`;
  writeFileSync(path, makeKeyPair(undefined).pem);
  return must(readSigningKey(path, undefined));
};

/** A store with whole runs of these names, closed and signed. */
export const smallStore = async (path: string, runs: readonly string[], key?: SigningKey): Promise<void> => {
  const records = must(await openRecords(path, { bench: "Practice bench" }));
  for (const run_id of runs) {
    const head = must(records.begin(run_id, "cellar"));
    must(records.append(run_id, goldenBodies(run_id, { bench_id: records.bench_id, head })));
    must(records.finish(run_id, smallSummary(run_id), key));
  }
  records.close();
};

/** Acts of a certificate and notes of what was handed on, as later programs leave them. */
export const addActs = (
  path: string,
  run_id: string,
  lines: readonly { readonly act: string; readonly number: string; readonly [more: string]: unknown }[] = [
    { act: "drafted", number: "TK-31-0117", run_id },
    { act: "issued", number: "TK-31-0117", drafted: 0 },
  ],
): void => {
  const file = openSqlite(path);
  let head = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
  let id = "";
  for (const [seq, entry] of lines.entries()) {
    const utc = "2031-03-05T08:00:00.000Z";
    const body = canonicalJson({ format: "stillpoint-ledger 1", seq, utc, previous: head, entry });
    head = nextHead(head, body);
    if (seq === 0) id = head.slice(0, 16);
    file
      .prepare(
        "insert into certificate_acts (certificates_id, seq, number, act, run_id, utc, body, hash) values (?, ?, ?, ?, ?, ?, ?, ?)",
      )
      .run(id, seq, entry.number, entry.act, run_id, utc, body, head);
  }
  file.prepare("insert into shipped (run_id, utc) values (?, ?)").run(run_id, "2031-03-05T09:00:00.000Z");
  closeSqlite(file);
};

/** Changes a store past its triggers, as somebody with a database tool would. */
export const tamper = (path: string, ...statements: readonly string[]): void => {
  const file = openSqlite(path);
  const triggers = file.prepare("select name, sql from sqlite_master where type = 'trigger'").all() as {
    readonly name: string;
    readonly sql: string;
  }[];
  for (const { name } of triggers) file.exec(`drop trigger ${name}`);
  for (const statement of statements) file.exec(statement);
  for (const { sql } of triggers) file.exec(sql);
  closeSqlite(file);
};
