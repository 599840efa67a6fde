import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { decodeRecord, encodeEvent, encodeRecord } from "../../src/readings/record-codec.ts";
import { type RecordedEvent, runEventSchema } from "../../src/readings/run-event.ts";

/** The golden record of version 1. A version that no longer reads it has lost the past. */
const GOLDEN = readFileSync(new URL("./fixtures/record-version-1.jsonl", import.meta.url), "utf8");

const decoded = (text: string) => {
  const result = decodeRecord(text);
  if (!result.ok) throw new Error(result.fault.message);
  return result.value;
};
const refused = (text: string): string => {
  const result = decodeRecord(text);
  if (result.ok) throw new Error("it was accepted");
  expect(result.fault).toMatchObject({ kind: "record", code: "record-damaged" });
  return result.fault.message;
};

describe("the record of version 1", () => {
  test("stays readable, and is written back byte for byte", () => {
    const { events, broken_off } = decoded(GOLDEN);
    expect(events.length).toBe(GOLDEN.trimEnd().split("\n").length);
    expect(broken_off).toBeNull();
    expect(encodeRecord(events)).toEqual({ ok: true, value: GOLDEN });
  });

  test("holds every kind of event that version 1 knows", () => {
    const kinds = new Set(decoded(GOLDEN).events.map((e) => e.event.kind));
    expect([...kinds].toSorted()).toEqual(runEventSchema.options.map((o) => o.shape.kind.value).toSorted());
  });
});

const LINES = GOLDEN.trimEnd().split("\n");
const withLine = (index: number, line: string): string => `${LINES.with(index, line).join("\n")}\n`;

describe("a damaged record is refused with its line", () => {
  test("an unreadable line", () =>
    expect(refused(withLine(4, "{oops"))).toContain("Line 5 of the record is not readable"));
  test("an empty line", () => expect(refused(withLine(4, ""))).toContain("Line 5"));
  test("an event that is not known", () =>
    expect(refused(withLine(4, '{"seq":5,"at_s":1,"utc":"x","event":{"kind":"tea-break"}}'))).toContain("Line 5"));
  test("a field that is wrong", () =>
    expect(refused(withLine(2, (LINES[2] ?? "").replace('"passed"', '"perhaps"')))).toContain("event.outcome"));
  test("a line that is lost", () =>
    expect(refused(`${LINES.toSpliced(7, 1).join("\n")}\n`)).toContain(
      "Line 8 of the record has number 9 where 8 belongs",
    ));
  test("a line that is there twice", () =>
    expect(refused(`${LINES.toSpliced(7, 0, LINES[7] ?? "").join("\n")}\n`)).toContain("Line 9"));
  test("two lines that changed places", () =>
    expect(
      refused(
        `${LINES.with(7, LINES[8] ?? "")
          .with(8, LINES[7] ?? "")
          .join("\n")}\n`,
      ),
    ).toContain("Line 8"));
  test("a beginning that is lost", () =>
    expect(refused(LINES.slice(3).join("\n"))).toContain('instead of "run-started"'));
  test("nothing at all", () => expect(refused("")).toContain("empty"));
  test("a later version names itself", () =>
    expect(refused(GOLDEN.replace("stillpoint-record 1", "stillpoint-record 2"))).toContain(
      'Line 1 says the format is "stillpoint-record 2"; this version reads "stillpoint-record 1"',
    ));
});

test("a record that breaks off while a line is written keeps every line before, and invents none", () => {
  const last = GOLDEN.trimEnd().length - (LINES.at(-1) ?? "").length;
  for (let cut = last + 1; cut < GOLDEN.trimEnd().length; cut += 1) {
    const { events, broken_off } = decoded(GOLDEN.slice(0, cut));
    expect(events.length).toBe(LINES.length - 1);
    expect(broken_off).toEqual({ line: LINES.length, text: GOLDEN.slice(last, cut) });
  }
  // Only the line end is missing: the event itself is whole.
  expect(decoded(GOLDEN.trimEnd()).events.length).toBe(LINES.length);
});

test("an event with a number that is none is not written", () => {
  const event: RecordedEvent = {
    seq: 1,
    at_s: Number.NaN,
    utc: "2031-03-04T07:30:00.000Z",
    event: { kind: "cautions-accepted", by: "Ida Fenn" },
  };
  expect(encodeEvent(event)).toMatchObject({ ok: false, fault: { code: "record-write" } });
  expect(encodeEvent({ ...event, at_s: Number.POSITIVE_INFINITY })).toMatchObject({ ok: false });
});

test("property: numbers and texts of any kind come back as they were, and one event stays one line", () => {
  const number = fc.double({ noNaN: true, noDefaultInfinity: true });
  fc.assert(
    fc.property(number, number, fc.string({ unit: "binary" }), (current, at, reason) => {
      const start = decoded(GOLDEN).events[0] as RecordedEvent;
      const event: RecordedEvent = {
        seq: start.seq + 1,
        at_s: at,
        utc: "2031-03-04T07:30:00.000Z",
        event: { kind: "source-left", outcome: "unknown", current_mA: current, reason },
      };
      const text = encodeRecord([start, event]);
      if (!text.ok) throw new Error(text.fault.message);
      expect(text.value.split("\n").length).toBe(3);
      // JSON has one zero: -0 comes back as 0.
      const same = { ...event, at_s: at + 0, event: { ...event.event, current_mA: current + 0 } };
      expect(decoded(text.value).events[1]).toEqual(same);
    }),
    { numRuns: 200 },
  );
});
