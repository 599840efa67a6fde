import { of, throwError, timer } from "rxjs";
import { describe, expect, it } from "vitest";
import { runEventSchema } from "../../src/readings/run-event.ts";
import { equivalenceRule } from "../../src/run/settling/rules/equivalence.ts";
import type { NextAdjustment } from "../../src/vocabulary/adjustment.ts";
import { fault } from "../../src/vocabulary/fault.ts";
import { kPa } from "../../src/vocabulary/quantities.ts";
import { lineLost, silence } from "./fake-bench.ts";
import { type FakeRun, type FakeRunOptions, QUICK, runFake } from "./run-fake.ts";

const AS_FOUND_ONLY: FakeRunOptions = { request: { adjust: "never" } };

/** Every ending must look like this: last words, safe source, nobody listening any more. */
const expectLeftSafe = (run: FakeRun): void => {
  const [left, ended] = run.events.slice(-2);
  expect(left).toMatchObject({ kind: "source-left", outcome: "safe", current_mA: 4 });
  expect(ended).toMatchObject({ kind: "run-ended" });
  expect(run.completed).toBe(true);
  expect(run.bench.current_mA).toBe(4);
  expect(run.bench.commands.at(-1)).toBe(4);
  expect(run.bench.listeners).toBe(0);
};
const endingOf = (run: FakeRun) => run.of("run-ended")[0];

describe("a run", () => {
  it("tells its stages in order and reads every point of the plan", () => {
    const run = runFake(AS_FOUND_ONLY).flush();
    expect(run.of("stage-started").map((e) => e.stage)).toEqual(["preflight", "exercise", "as-found"]);
    expect(run.events[0]).toMatchObject({ kind: "run-started", simulated: true, run_id: "keg-0001" });
    const captured = run.of("point-captured");
    expect(captured.map((e) => [e.point.nominal_percent, e.point.direction])).toEqual([
      [0, "rising"],
      [50, "rising"],
      [100, "rising"],
      [50, "falling"],
      [0, "falling"],
    ]);
    for (const e of captured) {
      expect(Math.abs(e.output_kPa - (20 + 0.8 * e.point.nominal_percent))).toBeLessThan(0.04);
      expect(e.measured_mA).toBeCloseTo(e.point.nominal_mA, 9);
      expect(e).toMatchObject({ approach: "clean", supply_kPa: 140, ambient_degC: 21, n_missed: 0, n_outliers: 0 });
      expect(e.samples.at_s).toHaveLength(e.samples.pressure_kPa.length);
    }
    expect(run.of("preflight-check").map((e) => e.outcome)).not.toContain("failed");
    expect(endingOf(run)).toEqual({ kind: "run-ended", ending: "finished" });
    expectLeftSafe(run);
  });

  it("accepts the cautions before the first output, and makes the source safe first", () => {
    const run = runFake(AS_FOUND_ONLY).flush();
    const order = run.events.map((e) => (e.kind === "preflight-check" ? e.check : e.kind));
    expect(order.indexOf("supply-in-band")).toBeLessThan(order.indexOf("cautions-accepted"));
    expect(order.indexOf("cautions-accepted")).toBeLessThan(order.indexOf("source-safe"));
    expect(order.indexOf("source-safe")).toBeLessThan(order.indexOf("commanded"));
    expect(run.bench.commands.slice(0, 2)).toEqual([4, 0]);
  });

  it("records only events that the record format knows", () => {
    for (const event of runFake({ fake: { zeroError: 1 } }).flush().events)
      expect(runEventSchema.safeParse(event)).toMatchObject({ success: true });
  });

  it("does the same twice", () => {
    const noisy = { disturb: (t: number) => 0.01 * Math.sin(12.9 * t) };
    const once = runFake({ fake: { ...noisy, zeroError: 1, spanError: -2 } }).flush();
    const twice = runFake({ fake: { ...noisy, zeroError: 1, spanError: -2 } }).flush();
    expect(twice.outputs).toEqual(once.outputs);
    expect(once.of("screw-turned").length).toBeGreaterThan(1);
  });

  it("ramps: no command moves the set point by more than speed times interval", () => {
    const run = runFake(AS_FOUND_ONLY).flush();
    // Venting is one command, at the start and at the end; nothing else leaves the range of the plan.
    const after = run.bench.commands.slice(2).filter((current) => current >= 4);
    const steps = after.slice(1, -1).map((c, i) => Math.abs(c - (after[i] ?? c)));
    // 10 % of span a second every quarter second is 0.4 mA; a command that takes 20 ms stretches none of it.
    expect(Math.max(...steps)).toBeLessThanOrEqual(0.4 + 1e-9);
  });
});

describe("a run that ends at the top", () => {
  it("ramps down before the source is made safe", () => {
    const run = runFake({ ...AS_FOUND_ONLY, sequence: { ...QUICK, sequence: "one-direction" } }).flush();
    expect(run.of("point-captured").at(-1)?.point.nominal_percent).toBe(100);
    const last = run.bench.commands.slice(-20).filter((current) => current >= 4);
    for (const [i, current] of last.slice(1).entries())
      expect(Math.abs(current - (last[i] ?? current))).toBeLessThanOrEqual(0.4 + 1e-9);
    expectLeftSafe(run);
  });
});

describe("adjusting", () => {
  it("is not needed when as found is within the aim", () => {
    const run = runFake().flush();
    expect(run.of("adjustment-ended")).toMatchObject([{ outcome: "not-needed", rounds: 0 }]);
    expect(run.of("stage-completed").map((e) => e.stage)).toEqual(["as-found"]);
    expectLeftSafe(run);
  });

  it("turns the screws and measures as left when as found is not", () => {
    const run = runFake({ fake: { zeroError: 1, spanError: -2 } }).flush();
    expect(run.of("stage-started").map((e) => e.stage)).toEqual([
      "preflight",
      "exercise",
      "as-found",
      "adjusting",
      "as-left",
    ]);
    // Of a model not known span goes first, because its pull on the low end is the wider unknown.
    expect(run.of("screw-turned").map((e) => [e.screw, e.at_percent])).toEqual([
      ["span", 100],
      ["zero", 0],
      ["span", 100],
    ]);
    expect(run.of("adjustment-ended")).toMatchObject([{ outcome: "within-aim", rounds: 2 }]);
    expect(run.of("as-found-frozen")).toMatchObject([{ points: 5, missing: 0 }]);
    expect(run.of("interplay-learned")[0]?.zero.ratio).toBeCloseTo(1, 1);
    const left = run.of("point-captured").filter((e) => e.point.stage === "as-left");
    expect(left).toHaveLength(5);
    for (const e of left) expect(Math.abs(e.output_kPa - (20 + 0.8 * e.point.nominal_percent))).toBeLessThan(0.1);
    expectLeftSafe(run);
  });

  it("is done anyway when asked for", () => {
    const run = runFake({ request: { adjust: "always" } }).flush();
    expect(run.of("adjustment-ended")).toMatchObject([{ outcome: "within-aim" }]);
    expect(run.of("screw-turned")).toHaveLength(0);
    expect(run.of("stage-completed").map((e) => e.stage)).toEqual(["as-found"]);
  });

  it("says that it is impossible and still measures what is left", () => {
    const hand = { turn: () => of({ kind: "no-effect" } as const) };
    const run = runFake({ fake: { zeroError: 2 }, request: { hand } }).flush();
    expect(run.of("adjustment-ended")).toMatchObject([{ outcome: "impossible" }]);
    expect(run.of("stage-completed").map((e) => e.stage)).toEqual(["as-found", "as-left"]);
    expectLeftSafe(run);
  });
});

describe("with the detector", () => {
  it("calibrates a unit with a wrong zero and span from end to end, and says what it learned", () => {
    const noisy = (t: number) => 0.004 * Math.sin(37.7 * t * t);
    const run = runFake({ fake: { zeroError: 1, spanError: -2, disturb: noisy }, sequence: { points: 5 } }).flush();
    expect(run.of("learned")[0]?.what.length).toBeGreaterThan(0);
    const left = run.of("point-captured").filter((e) => e.point.stage === "as-left");
    expect(left).toHaveLength(9);
    for (const e of left) expect(Math.abs(e.output_kPa - (20 + 0.8 * e.point.nominal_percent))).toBeLessThan(0.1);
    expect(run.of("adjustment-ended")).toMatchObject([{ outcome: "within-aim" }]);
    expectLeftSafe(run);
  });
});

describe("approach", () => {
  it("is repeated after an overshoot, slower, from the right side", () => {
    // Rings past 50 % for a second whenever the set point has just arrived there at full speed.
    let arrived = Number.NEGATIVE_INFINITY;
    let last = 0;
    const disturb = (t: number, commanded: number): number => {
      if (commanded === 50 && last < 50 && last > 45) arrived = last < 49 ? t : arrived;
      last = commanded;
      return t - arrived < 1.5 && commanded === 50 ? 3 : 0;
    };
    const run = runFake({ ...AS_FOUND_ONLY, fake: { disturb, tau_s: 0.05 } }).flush();
    const repeated = run.of("approach-repeated");
    expect(repeated.length).toBeGreaterThan(0);
    expect(repeated[0]).toMatchObject({ point: { nominal_percent: 50, direction: "rising" } });
    expect(repeated[0]?.overshoot_percent).toBeGreaterThan(2);
    const at50 = run.of("point-captured").find((e) => e.point.ordinal === 2);
    expect(at50?.approach).toBe("clean");
    // Backed off to where it came from: the low end.
    const from = run.events.findIndex((e) => e.kind === "approach-repeated");
    expect(run.events[from + 1]).toMatchObject({ kind: "commanded", current_mA: 4 });
  });

  it("comes from the side it names at every point of both stages, adjusting in between", () => {
    const percentOf = (current: number): number => ((current - 4) / 16) * 100;
    const fake = { zeroError: 0.5, spanError: -3 };
    // One turn at the top and no more, so that as left begins from above its first point.
    const nextAdjustment: NextAdjustment = (seen) =>
      seen.some((s) => s.kind === "turn")
        ? { kind: "done", why: "enough", rounds: 1 }
        : {
            kind: "turn",
            screw: "span",
            at: "upper",
            target_kPa: kPa(100),
            within_kPa: kPa(0.05),
            way: "lower",
            why: "to see",
          };
    const sequence = { ...QUICK, points: [0, 50, 100], inside_ends_percent: 5 };
    const run = runFake({ fake, sequence, request: { nextAdjustment } }).flush();
    expect(run.of("screw-turned")).toHaveLength(1);
    let at = 0;
    let before = 0;
    for (const event of run.events) {
      if (event.kind === "commanded") {
        before = at;
        at = percentOf(event.current_mA);
      } else if (event.kind === "point-captured") {
        const { nominal_percent, direction } = event.point;
        expect(at).toBeCloseTo(nominal_percent, 9);
        if (direction === "rising") expect(before).toBeLessThan(nominal_percent);
        else expect(before).toBeGreaterThan(nominal_percent);
      }
    }
    expect(run.of("point-captured")).toHaveLength(12);
  });

  it("is marked as overshot when it never comes clean", () => {
    let last = 0;
    let arrived = Number.NEGATIVE_INFINITY;
    const disturb = (t: number, commanded: number): number => {
      if (commanded === 50 && last < 50) arrived = t;
      last = commanded;
      return t - arrived < 1.5 && commanded === 50 ? 3 : 0;
    };
    const run = runFake({ ...AS_FOUND_ONLY, fake: { disturb, tau_s: 0.05 } }).flush();
    expect(run.of("approach-repeated")).toHaveLength(2);
    expect(run.of("point-captured").map((e) => e.approach)).toEqual(["clean", "overshot", "clean", "clean", "clean"]);
  });
});

describe("trouble", () => {
  const during = (from: number, to: number, what: "nothing" | typeof lineLost) => (t: number) =>
    t >= from && t < to ? what : null;

  it("waits for a lost line, asks who is there, and begins the point again", () => {
    const clean = runFake(AS_FOUND_ONLY).flush();
    const begun = clean.outputs.find(
      (o) => o.type === "record" && o.event.kind === "point-started" && o.event.point.ordinal === 3,
    )?.at_s;
    const at = (begun ?? 0) + 6;
    const run = runFake({ ...AS_FOUND_ONLY, fake: { trouble: during(at, at + 10, lineLost) } }).flush();
    expect(run.of("trouble")).toMatchObject([{ fault: { code: "line-lost" } }]);
    expect(run.of("point-started")).toHaveLength(5);
    expect(run.of("point-captured")).toHaveLength(5);
    const third = run.of("point-captured")[2];
    expect(third?.samples.at_s[0]).toBeGreaterThan(at + 10);
    expect(third?.samples.pressure_kPa).not.toContain(null);
    expectLeftSafe(run);
  });

  it("ends when the line does not come back", () => {
    const run = runFake({ ...AS_FOUND_ONLY, fake: { trouble: during(60, 1e9, lineLost) } }).flush();
    expect(endingOf(run)).toMatchObject({ ending: "fault", fault: { code: "line-lost" } });
    expectLeftSafe(run);
  });

  it("ends when another instrument answers after the line came back", () => {
    const fake = { trouble: during(60, 65, lineLost), serial: (t: number) => (t > 60 ? "G-999" : "G-200") };
    const run = runFake({ ...AS_FOUND_ONLY, fake }).flush();
    expect(endingOf(run)?.fault).toMatchObject({ code: "wrong-identity" });
    expect(endingOf(run)?.fault?.message).toContain("G-999, not G-200");
    expectLeftSafe(run);
  });

  it.each([
    ["a gauge that answers with silence", silence],
    ["a stream that says nothing at all", "nothing" as const],
  ])("notices %s and ends", (_, what) => {
    const run = runFake({ ...AS_FOUND_ONLY, fake: { trouble: during(60, 1e9, what) } }).flush();
    expect(run.of("trouble")[0]?.fault.code).toBe("no-new-data");
    expect(endingOf(run)).toMatchObject({ ending: "fault", fault: { kind: "communication" } });
    expectLeftSafe(run);
  });

  it("ends when the source refuses", () => {
    const refused = fault("device", "device-refused", "source-1 refused 12.000 mA.");
    let tops = 0;
    // The first time is that of preflight, which would name it itself.
    const onCommand = (current: number) => {
      if (current === 20) tops += 1;
      return current === 20 && tops > 1 ? refused : null;
    };
    const run = runFake({ ...AS_FOUND_ONLY, fake: { onCommand } }).flush();
    expect(endingOf(run)?.fault).toMatchObject({ code: "device-refused" });
    expectLeftSafe(run);
  });

  const hunting = { disturb: (t: number, commanded: number) => (commanded > 40 ? Math.sin(t) : 0) };
  const told = {
    rule: "detector",
    limit_percent: 0.05,
    gamma: 0.5,
    minimum_dwell_s: 0,
    timeout_s: 60,
  } as const;
  const overrides = { "two-point-sanity": { name: "R. Brandt", reason: "known to hunt" } };
  const request = { adjust: "never", overrides, createRule: () => equivalenceRule(told) } as const;

  it("records a point that hunts and goes on", () => {
    const run = runFake({ fake: hunting, request }).flush();
    expect(run.of("point-not-settled").map((e) => [e.point.ordinal, e.fault.code])).toEqual([
      [2, "hunting"],
      [3, "hunting"],
      [4, "hunting"],
    ]);
    expect(run.of("point-captured")).toHaveLength(2);
    expect(endingOf(run)?.ending).toBe("finished");
  });

  it("ends at a point that hunts when the policy says so", () => {
    const run = runFake({ fake: hunting, request: { ...request, policy: { not_settled: "end" } } }).flush();
    expect(run.of("point-not-settled")).toHaveLength(1);
    expect(endingOf(run)).toMatchObject({ ending: "fault", fault: { code: "hunting" } });
    expectLeftSafe(run);
  });
});

describe("endings", () => {
  it("stops for the person at once", () => {
    const run = runFake({ stop: (scheduler) => timer(60_000, scheduler) }).flush();
    expect(endingOf(run)).toMatchObject({ ending: "stopped", fault: { code: "stopped-by-person" } });
    expect(run.outputs.at(-1)?.at_s).toBeCloseTo(60.05, 6);
    expectLeftSafe(run);
  });

  it("stops before anything was driven, and still has a head and a tail in its record", () => {
    const run = runFake({ stop: () => of(true) }).flush();
    expect(run.events.map((e) => e.kind)).toEqual(["run-started", "source-left", "run-ended"]);
    expect(run.bench.commands).toEqual([4]);
  });

  it("is safe at every instant a person may stop it or a view may go away", () => {
    const whole = runFake({ fake: { zeroError: 1, spanError: -2 } }).flush();
    const end_s = whole.outputs.at(-1)?.at_s ?? 0;
    for (let at = 0.03; at < end_s; at += end_s / 24) {
      const stopped = runFake({
        fake: { zeroError: 1, spanError: -2 },
        stop: (scheduler) => timer(at * 1000, scheduler),
      }).flush();
      expect(endingOf(stopped)?.ending).toBe("stopped");
      expectLeftSafe(stopped);

      const left = runFake({ fake: { zeroError: 1, spanError: -2 } }).flush(at);
      const calls = left.bench.safeCalls;
      const outputs = left.outputs.length;
      left.subscription.unsubscribe();
      expect(left.bench.safeCalls).toBe(calls + 1);
      left.flush();
      expect(left.bench.current_mA).toBe(4);
      expect(left.bench.listeners).toBe(0);
      expect(left.outputs).toHaveLength(outputs);
    }
  });

  it("does not make the source safe twice when a view goes away after the end", () => {
    const run = runFake(AS_FOUND_ONLY).flush();
    const calls = run.bench.safeCalls;
    run.subscription.unsubscribe();
    expect(run.bench.safeCalls).toBe(calls);
  });

  it("catches an error of the program and is safe", () => {
    const judge = () => {
      throw new TypeError("the analysis fell over");
    };
    const run = runFake({ request: { judge } }).flush();
    expect(endingOf(run)).toMatchObject({ ending: "fault", fault: { code: "internal" } });
    expect(endingOf(run)?.fault?.message).toContain("the analysis fell over");
    expectLeftSafe(run);
  });

  it.each([0, 1, 20, 40])("ends when record %d cannot be kept, and is safe", (full) => {
    let kept = 0;
    const noSpace = fault("record", "record-write", "The record cannot be written: no space left.");
    const keep = () => (kept++ >= full ? noSpace : null);
    const run = runFake({ request: { keep } }).flush();
    expect(endingOf(run)).toMatchObject({ ending: "fault", fault: { code: "record-write" } });
    expect(run.events).toHaveLength(full + 3);
    expectLeftSafe(run);
  });

  it("keeps every record it emits, in order", () => {
    const kept: unknown[] = [];
    const run = runFake({
      request: {
        keep: (record) => {
          kept.push(record);
          return null;
        },
      },
    }).flush();
    expect(kept).toEqual(run.outputs.filter((o) => o.type === "record"));
  });

  it("catches a hand whose stream breaks", () => {
    const hand = { turn: () => throwError(() => new Error("the prompt is gone")) };
    const run = runFake({ fake: { zeroError: 1 }, request: { hand } }).flush();
    expect(endingOf(run)?.fault?.message).toContain("the prompt is gone");
    expectLeftSafe(run);
  });

  it.each([
    ["unknown", "source-1 did not answer"],
    ["silent", "did not say within 30 s"],
    ["throws", "the port was torn out"],
  ] as const)("says that it does not know how the source was left: %s", (safe, words) => {
    const run = runFake({ ...AS_FOUND_ONLY, fake: { safe } }).flush();
    expect(run.of("source-left")).toMatchObject([{ outcome: "unknown", current_mA: null }]);
    expect(run.of("source-left")[0]?.reason).toContain(words);
    expect(endingOf(run)?.ending).toBe("finished");
    expect(run.completed).toBe(true);
  });
});
