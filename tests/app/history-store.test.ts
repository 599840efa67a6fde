import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { canonicalJson } from "../../src/app/canonical-json.ts";
import { readRecord } from "../../src/app/certify.ts";
import { historyFact } from "../../src/app/history-fact.ts";
import { dueRowsOf } from "../../src/app/history-source.ts";
import { storeSource } from "../../src/app/history-store.ts";
import { knownParts } from "../../src/app/known-parts.ts";
import { openRecords } from "../../src/app/records/open-records.ts";
import { openBenchRecords } from "../../src/app/records/queries/open-to-read.ts";
import { summariseRun } from "../../src/app/records/summarise-run.ts";
import { define as defineDue } from "../../src/cli/commands/due.ts";
import { define as defineHistory } from "../../src/cli/commands/history.ts";
import { EXIT } from "../../src/cli/exit-codes.ts";
import type { CalibrationFact } from "../../src/history/calibration-fact.ts";
import { runCommand } from "../cli/in-process.ts";
import { recordOfVisit, VISITS } from "./history-records.ts";
import { must } from "./practice-job.ts";

const known = knownParts();
const folder = mkdtempSync(join(tmpdir(), "stillpoint-"));
const path = join(folder, "records.sqlite");
let facts: readonly CalibrationFact[] = [];

beforeAll(async () => {
  const texts = await Promise.all(VISITS.map(recordOfVisit));
  const store = must(await openRecords(path, { bench: "practice" }));
  facts = texts.map((text) => {
    const record = must(readRecord(text));
    const { run_id, station } = record.header;
    must(store.begin(run_id, station));
    const bodies = text.split("\n").flatMap((line) => (line === "" ? [] : [canonicalJson(JSON.parse(line))]));
    must(store.append(run_id, bodies));
    must(store.finish(run_id, must(summariseRun(record, known))));
    return must(historyFact(record, known));
  });
  store.close();
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const byRun = (list: readonly CalibrationFact[]): readonly CalibrationFact[] =>
  list.toSorted((a, b) => (a.run_id < b.run_id ? -1 : 1));

describe("the history out of a bench's store", () => {
  it("has the facts that the records themselves give, by serial number, by tag, and of all", async () => {
    const opened = must(await openBenchRecords(path, "read"));
    const source = storeSource(opened.db);
    for (const unit of ["HC15-20431", " pv-114", undefined]) {
      const read = await source.facts(unit);
      expect(read.unreadable).toEqual([]);
      expect(byRun(read.facts)).toEqual(byRun(facts));
    }
    expect((await source.facts("KV-77")).facts).toEqual([]);
    await opened.close();
  });

  it("has the due rows that the facts give", async () => {
    const opened = must(await openBenchRecords(path, "read"));
    const rows = await storeSource(opened.db).dueRows();
    const early = await storeSource(opened.db).dueRows("2026-01-07");
    expect(early.filter((r) => r.kind === "unit")).toEqual([]);
    await opened.close();
    const wanted = dueRowsOf(facts);
    expect(rows.filter((r) => r.kind === "unit")).toEqual(wanted.filter((r) => r.kind === "unit"));
    const dates = (list: typeof rows) =>
      list.flatMap((r) => (r.kind === "unit" ? [] : [`${r.serial_number} ${r.due} ${r.simulated}`])).toSorted();
    expect(dates(rows)).toEqual(dates(wanted));
  });

  it("is what the commands show without files", async () => {
    const shown = await runCommand(defineHistory, ["HC15-20431", "--records", path]);
    expect({ code: shown.code, talk: shown.talk }).toEqual({ code: EXIT.success, talk: "" });
    for (const visit of VISITS) expect(shown.out).toContain(visit.date);
    const listed = await runCommand(defineDue, ["--records", path, "--today", "2026-01-20"]);
    expect(listed.out).toMatch(/^overdue {2}2026-01-08 .*2025-07-08 \+ 6 months/mu);
    const chart = await runCommand(defineDue, ["--records", path, "--method", "control-chart", "--json"]);
    expect(JSON.parse(chart.out).items[0].rests_on).toContain("control chart");
    const missing = await runCommand(defineDue, ["--records", join(folder, "none.sqlite")]);
    expect(missing.code).toBe(EXIT.wrongUse);
    const unknown = await runCommand(defineHistory, ["KV-77", "--records", path]);
    expect(unknown.code).toBe(EXIT.wrongUse);
  });
});
