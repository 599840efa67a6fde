import { spawnSync } from "node:child_process";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { dueCalendar } from "../../src/app/due-calendar.ts";
import type { DueItem } from "../../src/app/due-list.ts";
import { dueCsv } from "../../src/app/due-text.ts";
import { csvFields } from "../../src/readings/csv-fields.ts";

const item = (more: Partial<DueItem> = {}): DueItem => ({
  kind: "unit",
  serial_number: "KV-1",
  model: "HC-15",
  tag: "PV-114",
  customer: "Three Kettles Brewery; cellar 2, Größe 3",
  simulated: false,
  last: "2026-07-12",
  interval_months: 6,
  due: "2027-01-12",
  rests_on: "fixed interval",
  not_accepted: false,
  state: "soon",
  ...more,
});
const STAMP = Date.UTC(2026, 10, 25, 6, 5, 4);

const anyText = fc.oneof(
  fc.string({ maxLength: 120 }),
  fc.string({ unit: fc.constantFrom("ä", "é", ",", ";", "\\", "\n", '"', "😀", "x", " ", ":"), maxLength: 120 }),
);
const anyItem = fc
  .record({ serial_number: anyText, model: anyText, tag: fc.option(anyText), customer: fc.option(anyText) })
  .map((more) => item(more));

const unfolded = (calendar: string): readonly string[] => calendar.replaceAll("\r\n ", "").split("\r\n");

describe("what is due as a calendar (RFC 5545)", () => {
  it("has the properties that 3.6 and 3.6.1 ask for, once each, and whole days", () => {
    const lines = unfolded(dueCalendar([item()], STAMP));
    expect(lines.slice(0, 2)).toEqual(["BEGIN:VCALENDAR", "VERSION:2.0"]);
    expect(lines.slice(-2)).toEqual(["END:VCALENDAR", ""]);
    expect(lines).toContain("DTSTAMP:20261125T060504Z");
    expect(lines).toContain("DTSTART;VALUE=DATE:20270112");
    // The end is not part of it (3.6.1).
    expect(lines).toContain("DTEND;VALUE=DATE:20270113");
    expect(lines).toContain("SUMMARY:Calibration due: HC-15 KV-1 (PV-114)");
    expect(lines.filter((l) => l.startsWith("UID:"))).toHaveLength(1);
    expect(lines.filter((l) => l.startsWith("PRODID:"))).toHaveLength(1);
    expect(lines.join("\n")).toContain("Customer: Three Kettles Brewery\\; cellar 2\\, Größe 3");
  });

  it("3.1: every line ends with CRLF, is at most 75 octets long, and no character is cut", () => {
    fc.assert(
      fc.property(fc.array(anyItem, { maxLength: 3 }), (items) => {
        const calendar = dueCalendar(items, STAMP);
        expect(calendar.endsWith("\r\n")).toBe(true);
        expect(calendar.replaceAll("\r\n", "")).not.toMatch(/[\r\n]/u);
        for (const line of calendar.split("\r\n")) {
          expect(Buffer.byteLength(line, "utf8")).toBeLessThanOrEqual(75);
          expect(Buffer.from(line, "utf8").toString("utf8")).toBe(line);
        }
      }),
    );
  });

  it("3.3.11: backslash, semicolon, comma and line end are escaped, nothing else", () => {
    const lines = unfolded(dueCalendar([item({ model: 'a\\b;c,d:e"f\r\ng\u0007' })], STAMP));
    expect(lines).toContain('SUMMARY:Calibration due: a\\\\b\\;c\\,d:e"f\\ng KV-1 (PV-114)');
  });

  it("3.8.4.7: an item keeps its UID when its date changes; others have others", () => {
    const uidOf = (more: Partial<DueItem>, stamp = STAMP): string =>
      unfolded(dueCalendar([item(more)], stamp)).find((l) => l.startsWith("UID:")) ?? "";
    expect(uidOf({ due: "2028-01-01", last: "2027-07-01" }, STAMP + 1e9)).toBe(uidOf({}));
    const others = [
      {},
      { serial_number: "KV-2" },
      { model: "HC-16" },
      { simulated: true },
      { kind: "reference" as const },
    ];
    expect(new Set(others.map((o) => uidOf(o))).size).toBe(others.length);
  });

  it("marks what is simulated and what is not fit", () => {
    const text = unfolded(dueCalendar([item({ simulated: true, not_accepted: true })], STAMP)).join("\n");
    expect(text).toContain("SUMMARY:SIMULATED Calibration due");
    expect(text).toContain("NOT FIT");
  });
});

const PYTHON = "/usr/bin/python3";
const present = spawnSync(PYTHON, ["-c", "import icalendar"]).status === 0;

describe.skipIf(!present && process.env["CI"] !== "true")("read by another program (needs python3-icalendar)", () => {
  const program = `
import sys, json, icalendar
cal = icalendar.Calendar.from_ical(sys.stdin.buffer.read())
out = [{"summary": str(e["SUMMARY"]), "description": str(e["DESCRIPTION"]), "start": e["DTSTART"].dt.isoformat(),
        "stamp": e["DTSTAMP"].dt.strftime("%Y-%m-%dT%H:%M:%SZ"), "uid": str(e["UID"])} for e in cal.walk("VEVENT")]
print(json.dumps(out))
`;
  it("every event comes out as it went in", () => {
    const items = [
      item(),
      item({ kind: "reference", serial_number: "G-7", tag: null, customer: null, last: null, interval_months: null }),
      ...fc.sample(anyItem, { seed: 7, numRuns: 40 }).map((i) => {
        // Control characters have no place in a calendar. icalendar 4.0.3 takes a backslash out twice.
        const plain = (text: string): string => text.replaceAll(/[\p{Cc}\\]/gu, "");
        return { ...i, serial_number: plain(i.serial_number), model: plain(i.model), tag: i.tag && plain(i.tag) };
      }),
    ];
    const { status, stdout, stderr } = spawnSync(PYTHON, ["-c", program], {
      input: dueCalendar(items, STAMP),
      encoding: "utf8",
    });
    expect(stderr).toBe("");
    expect(status).toBe(0);
    const events = JSON.parse(stdout) as readonly Record<
      "summary" | "description" | "start" | "stamp" | "uid",
      string
    >[];
    expect(events).toHaveLength(items.length);
    items.forEach((wanted, i) => {
      const tag = wanted.tag === null ? "" : ` (${wanted.tag})`;
      const kind = wanted.kind === "reference" ? "reference " : "";
      const summary = `Calibration due: ${kind}${wanted.model} ${wanted.serial_number}${tag}`;
      expect(events[i]?.summary).toBe(summary);
      expect(events[i]).toMatchObject({ start: "2027-01-12", stamp: "2026-11-25T06:05:04Z" });
    });
    expect(events[0]?.description).toContain("Customer: Three Kettles Brewery; cellar 2, Größe 3");
  });
});

describe("what is due as CSV (RFC 4180)", () => {
  it("has a header, CRLF, and its fields come back", () => {
    fc.assert(
      fc.property(anyItem, (given) => {
        const one = { ...given, serial_number: given.serial_number.replaceAll(/[\r\n]/gu, "").trim() };
        const text = dueCsv([{ ...one, model: "m", tag: null, customer: 'a "b", c' }]);
        const [header = "", row = "", rest] = text.split("\r\n");
        expect(rest).toBe("");
        const names = (csvFields(header, ",") ?? []).map((f) => f.text);
        const fields = (csvFields(row, ",") ?? []).map((f) => f.text);
        expect(fields).toHaveLength(names.length);
        expect(fields[names.indexOf("serial_number")]).toBe(one.serial_number);
        expect(fields[names.indexOf("customer")]).toBe('a "b", c');
        expect(fields[names.indexOf("tag")]).toBe("");
      }),
    );
  });
});
