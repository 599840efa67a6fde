import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { foldRun } from "../../src/readings/fold-run.ts";
import { plannedPoints } from "../../src/readings/planned-points.ts";
import { decodeRecord } from "../../src/readings/record-codec.ts";
import type { RecordedEvent, RunEvent } from "../../src/readings/run-event.ts";
import { type RunRecord, stageOf } from "../../src/readings/run-record.ts";
import { stagePoints } from "../../src/readings/stage-point.ts";

const text = readFileSync(new URL("./fixtures/record-version-1.jsonl", import.meta.url), "utf8");
const decoded = decodeRecord(text);
const EVENTS: readonly RecordedEvent[] = decoded.ok ? decoded.value.events : [];

const fold = (events: readonly RecordedEvent[]): RunRecord => {
  const result = foldRun(events);
  if (!result.ok) throw new Error(result.fault.message);
  return result.value;
};
/** Events numbered on anew, for records made up here. */
const numbered = (events: readonly RunEvent[]): readonly RecordedEvent[] =>
  events.map((event, i) => ({ seq: i + 1, at_s: i, utc: "2031-03-04T07:30:00.000Z", event }));

describe("the view of a whole run", () => {
  const record = fold(EVENTS);

  test("says who, with what, and that it is simulated", () => {
    expect(record.header).toMatchObject({ operator: "Ida Fenn", station: "left", seq: 1 });
    expect(record.simulated).toBe(true);
    expect(record.instruments.map((i) => i.serial_number)).toEqual(["SIM-7"]);
    expect(record.cautions_accepted.map((c) => c.by)).toEqual(["Ida Fenn"]);
    expect(record.preflight.map((p) => p.outcome)).toEqual(["passed", "skipped", "failed"]);
  });

  test("has the points of each stage in order, each with its place in the record", () => {
    const found = stageOf(record, "as-found");
    expect(found?.points.map((p) => [p.ordinal, p.nominal_percent, p.direction])).toEqual([
      [1, 0, "rising"],
      [2, 50, "rising"],
      [3, 100, "rising"],
      [4, 100, "falling"],
      [5, 50, "falling"],
      [6, 0, "falling"],
    ]);
    expect(found?.completed_at_s).not.toBeNull();
    expect(found?.missing).toEqual([]);
    for (const p of found?.points ?? []) expect(EVENTS[p.seq - 1]?.event).toMatchObject({ output_kPa: p.output_kPa });
  });

  test("counts a point that was taken again by its last reading and keeps the other", () => {
    const left = stageOf(record, "as-left");
    expect(left?.points.map((p) => [p.ordinal, p.output_kPa])).toEqual([
      [1, 20.01],
      [2, 60.01],
    ]);
    expect(left?.replaced.map((p) => p.output_kPa)).toEqual([60.02]);
    expect(left?.unsettled.map((p) => p.ordinal)).toEqual([3]);
    expect(left?.missing.map((p) => p.ordinal)).toEqual([3, 4, 5, 6]);
    expect(left?.completed_at_s).toBeNull();
  });

  test("names every departure from the plan, in order", () => {
    expect(record.deviations.map((d) => [d.kind, d.stage, d.ordinal])).toEqual([
      ["check-skipped", null, null],
      ["check-overridden", null, null],
      ["run-resumed", null, null],
      ["clock-stepped", null, null],
      ["approach-repeated", "as-left", 2],
      ["approached-wrongly", "as-left", 2],
      ["point-taken-again", "as-left", 2],
      ["point-not-settled", "as-left", 3],
      ["trouble", null, null],
      ["point-missing", "as-left", null],
    ]);
    expect(record.deviations.at(-1)?.text).toBe(
      "as-left: 4 of 6 planned points have no reading: 3 (100 %, rising), 4 (100 %, falling), 5 (50 %, falling), 6 (0 %, falling).",
    );
    for (const d of record.deviations) expect(d.text.length).toBeGreaterThan(20);
  });

  test("holds the adjustment and the ending", () => {
    expect(record.adjustments).toMatchObject([
      {
        readings: [{ output_kPa: 20.5 }],
        turns: [{ screw: "zero", after_kPa: 20.01 }],
        ending: { outcome: "within-aim" },
      },
    ]);
    expect(record.learned).toEqual(["The zero screw moves both ends alike."]);
    expect(record.source_left).toMatchObject([{ outcome: "safe", current_mA: 4 }]);
    expect(record.ending).toMatchObject({ ending: "fault", fault: { code: "silence" } });
    expect(record.event_count).toBe(EVENTS.length);
    expect(record.last.seq).toBe(EVENTS.length);
  });
});

describe("the view of a run that goes on", () => {
  test("every beginning of a record has a view, and no reading is lost or invented in it", () => {
    for (let n = 1; n <= EVENTS.length; n += 1) {
      const some = EVENTS.slice(0, n);
      const record = fold(some);
      const readings = record.stages.flatMap((s) => [...s.points, ...s.replaced]).length;
      expect(readings).toBe(some.filter((e) => e.event.kind === "point-captured").length);
      expect(record.ending === null).toBe(n < EVENTS.length);
    }
  });

  test("nothing is called missing while the stage is still going on", () => {
    const middle = EVENTS.findIndex((e) => e.event.kind === "point-captured") + 1;
    expect(stageOf(fold(EVENTS.slice(0, middle)), "as-found")?.missing).toEqual([]);
  });
});

describe("a record that cannot be trusted", () => {
  const start = EVENTS[0]?.event as RunEvent;
  const refused = (events: readonly RecordedEvent[]): string => {
    const result = foldRun(events);
    if (result.ok) throw new Error("it was accepted");
    expect(result.fault.code).toBe("record-damaged");
    return result.fault.message;
  };
  test("empty", () => expect(refused([])).toContain("empty"));
  test("without its beginning", () => expect(refused(EVENTS.slice(1))).toContain('instead of "run-started"'));
  test("with a second run inside", () => expect(refused(numbered([start, start]))).toContain("second run"));
  test("with a gap", () => expect(refused(EVENTS.toSpliced(5, 1))).toContain("number 7 stands where number 6 belongs"));
});

test("a real run in which one instrument is simulated is simulated", () => {
  const [start, gauge] = EVENTS.map((e) => e.event);
  if (start?.kind !== "run-started" || gauge?.kind !== "instrument-identified") throw new Error("another fixture");
  const honest = { ...start, simulated: false };
  expect(fold(numbered([honest, gauge])).simulated).toBe(true);
  expect(fold(numbered([honest, { ...gauge, simulated: false }])).simulated).toBe(false);
});

test("a plan that is not understood gives no points instead of a guess", () => {
  expect(plannedPoints("three points")).toEqual([]);
  expect(plannedPoints({ steps: [{ kind: "dance" }] })).toEqual([]);
});

test("points for the analysis: the measured current goes before the commanded one", () => {
  const points = stagePoints(stageOf(fold(EVENTS), "as-found")?.points ?? []);
  expect(points.map((p) => [p.applied_mA, p.applied_from])).toEqual([
    [4.0008, "measured"],
    [12, "commanded"],
    [20.0008, "measured"],
    [20.0008, "measured"],
    [12.0008, "measured"],
    [4.0008, "measured"],
  ]);
});
