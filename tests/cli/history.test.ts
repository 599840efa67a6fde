import { beforeAll, describe, expect, it } from "vitest";
import { define as defineDue } from "../../src/cli/commands/due.ts";
import { define as defineHistory } from "../../src/cli/commands/history.ts";
import { EXIT } from "../../src/cli/exit-codes.ts";
import { recordOfVisit, VISITS } from "../app/history-records.ts";
import { runCommand } from "./in-process.ts";
import { writtenFiles } from "./written-file.ts";

const write = writtenFiles();
const history = (...args: readonly string[]) => runCommand(defineHistory, args);
const due = (...args: readonly string[]) => runCommand(defineDue, args);
const UNIT = "HC15-20431";
const BENCH = new URL("../../bench-configs/simulated-serial.yaml", import.meta.url).pathname;
let records: readonly string[] = [];

beforeAll(async () => {
  const texts = await Promise.all(VISITS.map(recordOfVisit));
  records = texts.map((text, i) => write(`visit-${i}.jsonl`, text));
});

describe("history", () => {
  it("shows calibrations, a picture, drift and every method, marked SIMULATED, in 80 columns", async () => {
    const { code, out, talk } = await history(UNIT, ...records);
    expect({ code, talk }).toEqual({ code: EXIT.success, talk: "" });
    const lines = out.split("\n");
    expect(lines[0]).toBe("SIMULATED  Hopwell Instruments HC-15 HC15-20431, tag PV-114, Three Kettles Brewery");
    for (const line of lines.slice(1)) expect(line.length, line).toBeLessThanOrEqual(80);
    for (const visit of VISITS) expect(out).toContain(visit.date);
    expect(out).toMatch(/SIMULATED {2}Error at \d+ % (rising|falling), % of output span/u);
    for (const method of ["fixed", "staircase", "control-chart", "time-in-use", "simple-response", "reliability"]) {
      expect(out).toMatch(new RegExp(`^ {4}${method} `, "mu"));
    }
    expect(out.replaceAll(/\s+/gu, " ")).toContain("None of them is for a certificate, unless the customer agreed");
  });

  it("draws limits, results, the screw's work and the band of the next result", async () => {
    const { out } = await history(UNIT, ...records, "--point", "0 % rising", "--method", "fixed");
    const picture = out.slice(out.indexOf("Error at 0 % rising"), out.indexOf("o found"));
    const rows = picture.split("\n").filter((l) => /^[ \d.-]{9}[|+]/u.test(l) && !l.includes("--"));
    expect(rows).toHaveLength(15);
    expect(rows.filter((r) => (r.match(/=/gu) ?? []).length > 60)).toHaveLength(2);
    expect((picture.match(/o/gu) ?? []).length).toBeGreaterThanOrEqual(VISITS.length);
    expect(picture).toMatch(/[x:]/u);
    expect(out).toContain("95 % interval of the next result, from where the unit was left");
    expect(out).not.toContain("staircase");
  });

  it("finds the drift that was planted, across the adjustment", async () => {
    const { out } = await history(UNIT, ...records.toReversed(), "--json");
    const document = JSON.parse(out);
    expect(document.format).toBe("stillpoint-history 1");
    const [unit] = document.units;
    expect(unit.simulated).toBe(true);
    const zero = unit.drift.points.find((p: { point: string }) => p.point === "0 % rising");
    // 0.1, 0.17, 0.22, 0.3 at 0, 181, 370 and 545 days: 0.132 % of span a year by hand.
    expect(Math.abs(zero.per_year_percent_span - 0.132)).toBeLessThan(0.02);
    expect(zero.degrees_of_freedom).toBe(2);
    expect(zero.predicted.date).toBe("2026-01-08");
    expect(unit.proposals.map((p: { method: string }) => p.method)).toHaveLength(6);
  });

  it("says nothing of drift from two, and begins anew after a repair that is told", async () => {
    const two = await history("pv-114", ...records.slice(0, 2));
    expect(two.out).toContain("Drift: nothing is said from 2 calibrations in a row");
    const repaired = await history(UNIT, ...records, "--interrupted", "2025-01-01=diaphragm renewed");
    expect(repaired.out).toContain("2025-01-01  the history begins anew: diaphragm renewed");
    expect(repaired.out).toContain("Drift: nothing is said from 2 calibrations in a row");
  });

  it("counts hours when they are handed in", async () => {
    const use = write("use.csv", "date,hours\n2024-01-01,0\n2026-01-01,8000\n");
    const { out } = await history(UNIT, ...records, "--method", "time-in-use", "--use", use);
    expect(out).toMatch(/> time-in-use {6}\s+\d+ months?, due 202\d/u);
    expect(out).toContain("hours from the last calibration");
  });

  it.each<[string, readonly string[], string]>([
    ["another unit", ["KV-77"], 'No calibration of a unit with serial number or tag "KV-77"'],
    ["a day that is none", [UNIT, "--interrupted", "2025-02-30=x"], '"2025-02-30" is no day'],
    ["a point that is none", [UNIT, "--point", "33 % rising"], 'No point is called "33 % rising"'],
    ["a method that is none", [UNIT, "--method", "guess"], "Allowed choices are"],
    ["a share that is none", [UNIT, "--target", "95"], "between 0 and 1"],
  ])("refuses %s", async (_, args, words) => {
    const said = await history(args[0] ?? "", ...records, ...args.slice(1));
    expect(said.talk).toContain(words);
    expect(said.out).toBe("");
    expect(said.code === EXIT.wrongUse || said.code === null).toBe(true);
  });

  it("goes on without a record that is damaged, says so, and ends with the code for it", async () => {
    const broken = write("broken.jsonl", "not a record\n");
    const said = await history(UNIT, ...records, broken);
    expect(said.talk).toContain("broken.jsonl");
    expect(said.out).toContain("SIMULATED");
    expect(said.code).toBe(EXIT.recordDamaged);
  });
});

describe("due", () => {
  const TODAY = ["--today", "2026-01-20"];

  it("lists units and references, the most urgent first", async () => {
    const { code, out, talk } = await due(...records, "--bench", BENCH, ...TODAY);
    expect({ code, talk }).toEqual({ code: EXIT.success, talk: "" });
    const lines = out.trimEnd().split("\n");
    expect(lines[0]).toContain("1 overdue, 0 due within 30 days");
    expect(lines[2]).toMatch(/^overdue {2}2026-01-08 {2}-12 d .*HC15-20431.*SIMULATED; 2025-07-08 \+ 6 months/u);
    expect(lines.slice(3).every((l) => l.startsWith("later") && l.includes("reference, certificate"))).toBe(true);
    // A reference of the records and of the bench file is one.
    expect(lines.filter((l) => l.includes("SIM-GAUGE-1"))).toHaveLength(1);
  });

  it("by a day, by another interval, and by a method that learns", async () => {
    const none = await due(...records, ...TODAY, "--until", "2026-01-07");
    expect(none.out).toBe("On 2026-01-20, up to 2026-01-07: nothing is due.\n");
    const year = await due(...records, ...TODAY, "--interval", "12", "--json");
    expect(JSON.parse(year.out).items[0]).toMatchObject({ due: "2026-07-08", interval_months: 12, state: "later" });
    const chart = await due(...records, ...TODAY, "--method", "control-chart", "--json");
    expect(JSON.parse(chart.out).items[0].rests_on).toContain("control chart");
    const pooled = await due(...records, ...TODAY, "--method", "reliability", "--json");
    expect(JSON.parse(pooled.out).items[0].rests_on).toContain("fixed interval: reliability cannot say yet");
  });

  it("as CSV and as a calendar", async () => {
    const csv = await due(...records, ...TODAY, "--csv");
    expect(csv.out.split("\r\n")[1]).toMatch(/^overdue,2026-01-08,unit,HC15-20431,HC-15,PV-114,/u);
    const ics = await due(...records, "--ics");
    expect(ics.out).toContain("DTSTART;VALUE=DATE:20260108\r\n");
    expect(ics.out.endsWith("END:VCALENDAR\r\n")).toBe(true);
  });

  it("refuses two formats, and a day that is none", async () => {
    expect((await due(...records, "--csv", "--ics")).talk).toContain("Only one of");
    expect((await due(...records, "--today", "2026-1-1")).talk).toContain("a day that exists");
  });
});
