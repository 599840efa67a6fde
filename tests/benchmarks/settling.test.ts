import { beforeAll, describe, expect, it } from "vitest";
import { createDetector } from "../../src/run/settling/detector.ts";
import type { SettlingVerdict } from "../../src/run/settling/settling-rule.ts";
import { equivalence, fixedWait } from "./settling/baselines.ts";
import { detectorContender, newTally, type Report, report, runUnit } from "./settling/bench-settling.ts";
import { makeUnit } from "./settling/generate-traces.ts";
import { type HeldStroke, type LivePoint, runLive } from "./settling/live-run.ts";
import { parseTraceLine, type Trace, traceLine } from "./settling/trace.ts";
import { publicKinds } from "./settling/unit-family.ts";

/**
 * The settling benchmark in small: made-up units whose truth is known exactly. Some 400 points cannot show rates of 0.05 %;
 * the margins below are wide enough for so few, and a rule that reads too early or waits too long still fails them by far.
 */
const limit = 0.05;
const seed = 4711;

function run(units: readonly (readonly Trace[])[], memory = true): Report {
  const contender = { ...detectorContender(limit), memory };
  const tally = newTally(contender.name);
  for (const unit of units) runUnit(tally, contender, unit, limit, false);
  return report(tally);
}

describe("the settling detector on made-up units", () => {
  const units: Trace[][] = [];
  let result: Report;

  beforeAll(() => {
    for (let index = 0; index < 40; index++) units.push(makeUnit({ seed, index }));
    result = run(units);
  });

  it("is hardly slower than an oracle that knows the truth", () => {
    expect(result.overall.settling).toBeGreaterThan(250);
    expect(result.overall.ratioMedian).toBeLessThan(1.2);
    expect(result.overall.ratioP90).toBeLessThan(1.65);
    expect(result.overall.total).toBeLessThan(1.25);
    expect(result.totalWithSoak).toBeLessThan(1.8);
  });

  it("takes no reading too early", () => {
    expect(result.overall.falseCount).toBeLessThanOrEqual(1);
    expect(result.overall.beyondTwice).toBe(0);
    expect(result.overall.lostPercent).toBeLessThan(1);
    expect(result.overall.missedCount).toBeLessThanOrEqual(1);
  });

  it("states an uncertainty that its errors keep to", () => {
    expect(result.overall.normalised).toBeGreaterThan(0.7);
    expect(result.overall.normalised).toBeLessThan(1.25);
  });

  it("gains by what it remembers of a unit", () => {
    const forgetful = run(units.slice(0, 12), false);
    const mindful = run(units.slice(0, 12));
    expect(mindful.overall.total).toBeLessThan(forgetful.overall.total);
  });

  it("beats a fixed wait in time and a plain equivalence test in errors or time", () => {
    const fixed = newTally("fixed 60 s");
    const plain = newTally("equivalence");
    for (const unit of units.slice(0, 25)) {
      const q = unit[0]?.resolution ?? 0;
      runUnit(fixed, { name: "fixed 60 s", memory: true, make: () => fixedWait(q, 60) }, unit, limit, false);
      runUnit(
        plain,
        { name: "equivalence", memory: true, make: () => equivalence(q, limit / 2, 5) },
        unit,
        limit,
        false,
      );
    }
    expect(report(fixed).overall.ratioMedian).toBeGreaterThan(3 * result.overall.ratioMedian);
    expect(report(plain).overall.total).toBeGreaterThan(result.overall.total);
  });
});

describe("with the detector in the loop: the next command comes when it has decided", () => {
  const never = new Set(["hunting", "ripple", "drifting"]);
  const run = (exercise: readonly HeldStroke[]) => {
    const points: LivePoint[] = [];
    for (let index = 0; index < 15; index++) {
      points.push(...runLive({ seed: 12, index }, exercise, (resolution) => createDetector({ limit, resolution })));
    }
    const settling = points.filter((p) => !never.has(p.kind));
    const read = settling.filter((p) => p.verdict.kind === "settled");
    const wrong = read.filter(
      (p) => p.verdict.kind === "settled" && Math.abs(p.verdict.value - p.target) > limit + p.resolution / 2,
    );
    const mean = settling.reduce((sum, p) => sum + p.time, 0) / settling.length;
    return { settling: settling.length, read: read.length, wrong: wrong.length, mean };
  };

  it("a long hold and hasty strokes both end in right readings; the long hold pays at every point", () => {
    const held = run([{ to: 100, longest: 95 }]);
    const hasty = run([100, 0, 100, 0].map((to) => ({ to, longest: 6 })));
    for (const result of [held, hasty]) {
      expect(result.settling).toBeGreaterThan(80);
      expect(result.read).toBeGreaterThanOrEqual(result.settling - 2);
      expect(result.wrong).toBeLessThanOrEqual(1);
    }
    expect(held.mean).toBeLessThan(hasty.mean);
  });
});

describe("no look-ahead", () => {
  /** Verdicts of one unit; after each decision the record goes on only when `on` says so. */
  function verdicts(unit: readonly Trace[], on: boolean): SettlingVerdict[] {
    const rule = createDetector({ limit, resolution: unit[0]?.resolution ?? null });
    return unit.map((trace, i) => {
      const at_s = i * 240;
      rule.begin({ at_s, from: trace.from, to: trace.setpoint, role: trace.role });
      let decided: SettlingVerdict | null = null;
      let last: SettlingVerdict = { kind: "moving", expected_s: null, confidence: 0 };
      for (let k = 0; k < trace.sample_times_s.length; k++) {
        const value = trace.readings[k] ?? Number.NaN;
        last = rule.take({ time_s: at_s + (trace.sample_times_s[k] ?? 0), value: Number.isNaN(value) ? null : value });
        if (last.kind === "moving" || last.kind === "settling") continue;
        decided ??= last;
        if (!on) break;
      }
      return decided ?? last;
    });
  }

  it("every record cut right after its decision gives the same verdict, time and reading", () => {
    for (const [index, [kind]] of publicKinds.entries()) {
      const unit = makeUnit({ seed: 99, index, kind });
      expect(verdicts(unit, false), kind).toEqual(verdicts(unit, true));
    }
  });

  it("every verdict was there when the sample that it rests on came", () => {
    const unit = makeUnit({ seed: 100, index: 1, kind: "dirty" });
    for (const [i, verdict] of verdicts(unit, false).entries()) {
      if (verdict.kind !== "settled") continue;
      const times = unit[i]?.sample_times_s ?? [];
      const at = verdict.to_s - i * 240;
      expect(Array.from(times).some((t) => Math.abs(t - at) < 1e-9)).toBe(true);
      expect(verdict.from_s).toBeLessThanOrEqual(verdict.to_s);
    }
  });
});

describe("the generator", () => {
  it("gives the same unit for the same seed, and its records in the public form and back", () => {
    const trace = makeUnit({ seed: 7, index: 3 })[2];
    const again = makeUnit({ seed: 7, index: 3 })[2];
    expect(trace).toBeDefined();
    if (trace === undefined || again === undefined) return;
    expect(Array.from(again.readings)).toEqual(Array.from(trace.readings));
    const back = parseTraceLine(traceLine(trace));
    expect(back.truth).toEqual(trace.truth);
    expect(back.readings.length).toBe(trace.readings.length);
    expect(back.readings[5]).toBeCloseTo(trace.readings[5] ?? Number.NaN, 4);
  });

  it("knows the truth: after the band is reached the noise-free gauge stays in it, and steady kinds settle", () => {
    for (const kind of ["fast", "slow", "saturated"] as const) {
      for (const trace of makeUnit({ seed: 8, index: 0, kind })) {
        expect(trace.truth.settles).toBe(true);
        expect(trace.truth.oracle_time_s).toBeGreaterThanOrEqual(trace.truth.t_band_s ?? 999);
        expect(trace.truth.ref_hi).toBeGreaterThanOrEqual(trace.truth.ref_lo);
        const late = Array.from(trace.readings)
          .slice(-200)
          .filter((v) => !Number.isNaN(v));
        const mean = late.reduce((a, b) => a + b, 0) / late.length;
        expect(mean).toBeGreaterThan(trace.truth.ref_lo - 0.05);
        expect(mean).toBeLessThan(trace.truth.ref_hi + 0.05);
      }
    }
    for (const kind of ["hunting", "drifting", "ripple"] as const) {
      const never = makeUnit({ seed: 8, index: 1, kind });
      expect(never.filter((t) => t.truth.settles).length).toBeLessThan(never.length / 2);
    }
  });
});
