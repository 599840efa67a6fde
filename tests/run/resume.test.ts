import { describe, expect, it } from "vitest";
import type { RunEvent } from "../../src/readings/run-event.ts";
import { standingOf } from "../../src/run/standing.ts";
import type { FakeSettings } from "./fake-bench.ts";
import { type FakeRun, runFake } from "./run-fake.ts";

type Touched = "nothing" | "connections" | "screws";

const resumeFrom = (events: readonly RunEvent[], touched: Touched, fake: FakeSettings, adjust?: "never"): FakeRun =>
  runFake({
    fake,
    request: {
      ...(adjust === undefined ? {} : { adjust }),
      resume: { events, resumed: { by: "R. Brandt", gap_s: 90, touched, software_version: "0.1.0" } },
    },
  }).flush();

const nominals = (events: readonly RunEvent[], stage: "as-found" | "as-left") =>
  events.flatMap((e) => (e.kind === "point-captured" && e.point.stage === stage ? [e.point.ordinal] : []));

const SOUND: FakeSettings = {};
/** Bad enough to be adjusted. */
const OFF: FakeSettings = { zeroError: 1, spanError: -2 };

describe("a run that broke off", () => {
  it("goes on at every place where it may have been cut, reads each point once, and ends with a safe source", () => {
    const whole = runFake({ fake: SOUND, request: { adjust: "never" } }).flush().events;
    for (let cut = 1; cut < whole.length; cut += 1) {
      const before = whole.slice(0, cut);
      const run = resumeFrom(before, "nothing", SOUND, "never");
      const all = [...before, ...run.events];
      expect(nominals(all, "as-found"), `cut after ${cut} events`).toEqual([1, 2, 3, 4, 5]);
      expect(run.events[0]).toMatchObject(
        before.some((e) => e.kind === "run-ended") ? { kind: "source-left" } : { kind: "run-resumed", gap_s: 90 },
      );
      expect(run.events.slice(-2)).toMatchObject([
        { kind: "source-left", outcome: "safe" },
        { kind: "run-ended", ending: "finished" },
      ]);
    }
  });

  it("reads the same values as one that did not break off", () => {
    const values = (events: readonly RunEvent[]) =>
      events.flatMap((e) => (e.kind === "point-captured" ? [e.output_kPa] : []));
    const whole = runFake({ fake: SOUND, request: { adjust: "never" } }).flush().events;
    const cut = whole.findIndex((e) => e.kind === "point-captured" && e.point.ordinal === 3);
    const before = whole.slice(0, cut);
    const all = [...before, ...resumeFrom(before, "nothing", SOUND, "never").events];
    values(all).forEach((v, i) => {
      expect(Math.abs(v - (values(whole)[i] ?? Number.NaN))).toBeLessThan(0.02);
    });
  });

  it("comes to a falling point from the top again", () => {
    const whole = runFake({ fake: SOUND, request: { adjust: "never" } }).flush().events;
    const before = whole.slice(0, 1 + whole.findIndex((e) => e.kind === "point-captured" && e.point.ordinal === 3));
    const run = resumeFrom(before, "nothing", SOUND, "never");
    const from = run.events.findLastIndex((e) => e.kind === "exercised");
    expect(run.events[from]).toMatchObject({ to_percent: 100 });
    expect(run.events.slice(from).find((e) => e.kind === "point-started")).toMatchObject({
      point: { nominal_percent: 50, direction: "falling" },
    });
  });

  it("begins the stage anew when a line was touched", () => {
    const whole = runFake({ fake: SOUND, request: { adjust: "never" } }).flush().events;
    const before = whole.slice(0, 1 + whole.findIndex((e) => e.kind === "point-captured" && e.point.ordinal === 2));
    const run = resumeFrom(before, "connections", SOUND, "never");
    expect(nominals(run.events, "as-found")).toEqual([1, 2, 3, 4, 5]);
  });

  it("takes nothing more for as found once a screw was touched", () => {
    const whole = runFake({ fake: OFF }).flush().events;
    const before = whole.slice(0, 1 + whole.findIndex((e) => e.kind === "point-captured" && e.point.ordinal === 2));
    const run = resumeFrom(before, "screws", OFF);
    expect(nominals(run.events, "as-found")).toEqual([]);
    expect(run.of("as-found-frozen")[0]).toMatchObject({ points: 2, missing: 3 });
    expect(nominals(run.events, "as-left")).toEqual([1, 2, 3, 4, 5]);
  });

  it("goes on adjusting without closing as found twice, and reads as left whole", () => {
    const whole = runFake({ fake: OFF }).flush().events;
    const from = whole.findIndex((e) => e.kind === "as-found-frozen");
    const to = whole.findIndex((e) => e.kind === "adjustment-ended");
    for (let cut = from + 1; cut <= to + 1; cut += 1) {
      const before = whole.slice(0, cut);
      const all = [...before, ...resumeFrom(before, "nothing", OFF).events];
      expect(all.filter((e) => e.kind === "as-found-frozen")).toHaveLength(1);
      expect(nominals(all, "as-left"), `cut after ${cut} events`).toEqual([1, 2, 3, 4, 5]);
    }
  });

  it("tells where each record stands", () => {
    const whole = runFake({ fake: OFF }).flush().events;
    const kinds = whole.map((_, i) => standingOf(whole.slice(0, i + 1)).kind);
    const order = kinds.filter((kind, i) => kind !== kinds[i - 1]);
    expect(order).toEqual([
      "before-points",
      "measuring",
      "judging",
      "adjusting",
      "before-as-left",
      "measuring",
      "finishing",
      "ended",
    ]);
  });

  it("does not touch a run that has ended", () => {
    const whole = runFake({ fake: SOUND, request: { adjust: "never" } }).flush().events;
    const run = resumeFrom(whole, "nothing", SOUND, "never");
    expect(run.of("run-ended")[0]).toMatchObject({ ending: "fault" });
    expect(run.of("commanded")).toHaveLength(0);
  });
});
