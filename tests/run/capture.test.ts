import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { capture, overshoot, type SeenSample } from "../../src/run/capture.ts";
import { kPa, seconds } from "../../src/vocabulary/quantities.ts";
import { err, ok } from "../../src/vocabulary/result.ts";
import { silence } from "./fake-bench.ts";

const samplesOf = (values: readonly (number | null)[], every_s = 1): readonly SeenSample[] =>
  values.map((value, i) => ({
    at_s: i * every_s,
    sample:
      value === null
        ? err(silence)
        : ok({ value: { kPa: kPa(value), mode: "gauge" as const }, at_s: seconds(i * every_s) }),
  }));
const settled = (from_s: number, to_s: number) =>
  ({ kind: "settled", value: -1, u: 0.01, u_residual: 0, n_effective: 3, from_s, to_s }) as const;
const asIs = (value: number): number => value;

describe("capture", () => {
  it("takes mean and spread of the readings inside the window only", () => {
    const taken = capture(samplesOf([90, 40, 50.01, 50.02, 50.03, 60]), settled(2, 4), asIs);
    expect(taken).toMatchObject({ n: 3, n_stale: 0, n_outliers: 0, n_missed: 0 });
    expect(taken.mean).toBeCloseTo(50.02, 9);
    expect(taken.spread).toBeCloseTo(0.01, 9);
  });

  it("counts missed polls, stale repeats and outliers, and keeps them out of the mean", () => {
    // Polled four times for each new value of the gauge; one poll missed, one value far off.
    const values = [1, 2, 3, 4, 5, 6, 7, 8].flatMap((i) => Array.from({ length: 4 }, () => 50 + i / 1000));
    const spoiled = values.map((v, i) => (i === 25 ? null : i === 28 ? 75 : v));
    const taken = capture(samplesOf(spoiled, 0.1), settled(0, 4), asIs);
    expect(taken.n_missed).toBe(1);
    expect(taken.n_outliers).toBe(1);
    expect(taken.n + taken.n_stale + taken.n_outliers + taken.n_missed).toBe(spoiled.length);
    expect(taken.n).toBeLessThanOrEqual(9);
    expect(Math.abs(taken.mean - 50.0045)).toBeLessThan(0.001);
  });

  it("falls back on the rule's own mean when nothing is left", () => {
    expect(capture(samplesOf([null, null]), { ...settled(0, 1), value: 49 }, asIs)).toMatchObject({ mean: 49, n: 0 });
  });
});

describe("overshoot", () => {
  const after = { value: 50, from_s: 8, spread: 0 };
  it("is how far the output went past and came back, on either side", () => {
    const up = samplesOf([0, 30, 51, 52, 51, 50.5, 50, 50, 50]);
    expect(overshoot(up, after, { from: 0, to: 50 }, asIs)).toBeCloseTo(1, 9);
    const down = samplesOf([100, 70, 49, 48, 49, 49.5, 50, 50, 50]);
    expect(overshoot(down, after, { from: 100, to: 50 }, asIs)).toBeCloseTo(1, 9);
  });

  it("does not count one odd reading, nor what noise explains", () => {
    expect(overshoot(samplesOf([0, 30, 90, 49, 50, 50, 50, 50, 50]), after, { from: 0, to: 50 }, asIs)).toBe(0);
    const noisy = samplesOf([0, 30, 50.02, 50.02, 50.02, 50, 50, 50, 50]);
    expect(overshoot(noisy, { ...after, spread: 0.01 }, { from: 0, to: 50 }, asIs)).toBe(0);
  });

  it("is nothing for an output that only ever comes nearer", () => {
    fc.assert(
      fc.property(fc.double({ min: 0.3, max: 5, noNaN: true }), fc.boolean(), (tau, rising) => {
        const from = rising ? 0 : 100;
        const values = Array.from({ length: 60 }, (_, i) => 50 + (from - 50) * Math.exp(-i / 4 / tau));
        expect(overshoot(samplesOf(values), { ...after, from_s: 60 }, { from, to: 50 }, asIs)).toBe(0);
      }),
    );
  });
});
