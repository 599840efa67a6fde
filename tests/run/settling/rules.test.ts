import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { SettlingChoice } from "../../../src/plan/test-plan.ts";
import { bandRule } from "../../../src/run/settling/rules/band.ts";
import { equivalenceRule } from "../../../src/run/settling/rules/equivalence.ts";
import { fixedDwellRule } from "../../../src/run/settling/rules/fixed-dwell.ts";
import { slopeRule } from "../../../src/run/settling/rules/slope.ts";
import { isFinal, type SettlingRule, type SettlingVerdict } from "../../../src/run/settling/settling-rule.ts";

/** Small, repeatable, roughly normal noise of unit variance: sum of twelve uniform numbers. */
const noise = (seed: number) => {
  let state = (seed % 2147483646) + 1;
  const uniform = () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
  return () => Array.from({ length: 12 }, uniform).reduce((sum, u) => sum + u, -6);
};

interface Replay {
  readonly output: (t: number) => number | null;
  readonly sigma?: number;
  readonly from_s?: number;
  readonly seed?: number;
}

/** Feeds a response at 5 Hz until the rule has its final word; `at_s` counts from the last command. */
const replay = (rule: SettlingRule, { output, sigma = 0, from_s = 100, seed = 7 }: Replay) => {
  const draw = noise(seed);
  rule.begin({ at_s: from_s, from: 0, to: 50, role: "point" });
  let verdict: SettlingVerdict = { kind: "moving", expected_s: null, confidence: 0 };
  let t = 0;
  while (!isFinal(verdict) && t < 400) {
    t = Math.round((t + 0.2) * 10) / 10;
    const value = output(t);
    verdict = rule.take({ time_s: from_s + t, value: value === null ? null : value + sigma * draw() });
  }
  return { verdict, at_s: t };
};

const step = (tau: number) => (t: number) => 50 * (1 - Math.exp(-t / tau));
const band = { rule: "band", band_percent: 0.05, window_s: 5, timeout_s: 60 } as const;
const slope = { rule: "slope", slope_percent_per_min: 0.3, window_s: 10, timeout_s: 60 } as const;
const detector = {
  rule: "detector",
  limit_percent: 0.05,
  gamma: 0.5,
  minimum_dwell_s: 0,
  timeout_s: 120,
} as const satisfies SettlingChoice;

describe("fixed dwell", () => {
  it("reads after the dwell, whatever the output does, and gives the mean of its window", () => {
    const rule = fixedDwellRule({ rule: "fixed-dwell", dwell_s: 30, average_s: 5 });
    const { verdict, at_s } = replay(rule, { output: (t) => t });
    expect(at_s).toBe(35);
    expect(verdict).toMatchObject({ kind: "settled", from_s: 130, to_s: 135 });
    expect(verdict.kind === "settled" && verdict.value).toBeCloseTo(32.5, 9);
  });
});

describe("band", () => {
  it("settles when a whole window lies within the band", () => {
    const { verdict, at_s } = replay(bandRule(band), { output: step(1) });
    expect(verdict.kind).toBe("settled");
    // 50 exp(-t) = 0.05 at 6.9 s, and the window of 5 s has to lie behind it.
    expect(at_s).toBeGreaterThan(6.9 + 4.5);
    expect(at_s).toBeLessThan(6.9 + 5.5);
  });

  it("gives up in time on what moves on", () => {
    expect(replay(bandRule(band), { output: (t) => 0.05 * t })).toMatchObject({
      verdict: { kind: "not-settled" },
      at_s: 60,
    });
  });

  it("leaves out a single outlier and does not wait for it", () => {
    const plain = replay(bandRule(band), { output: step(0.5), sigma: 0.004 });
    const spiked = replay(bandRule(band), { output: (t) => step(0.5)(t) + (t === 8 ? 25 : 0), sigma: 0.004 });
    expect(spiked.at_s).toBeCloseTo(plain.at_s, 9);
    expect(spiked.verdict.kind === "settled" && Math.abs(spiked.verdict.value - 50)).toBeLessThan(0.02);
  });
});

describe("slope", () => {
  it("settles only when the slope is surely small: noise makes it later, never earlier", () => {
    const calm = replay(slopeRule(slope), { output: step(1), sigma: 0.002 });
    const noisy = replay(slopeRule(slope), { output: step(1), sigma: 0.02 });
    expect(calm.verdict.kind).toBe("settled");
    expect(noisy.at_s).toBeGreaterThanOrEqual(calm.at_s);
  });

  it("refuses a drift above its limit", () => {
    const { verdict } = replay(slopeRule(slope), { output: (t) => 50 + t / 60, sigma: 0.002 });
    expect(verdict.kind).toBe("not-settled");
  });
});

describe("equivalence", () => {
  it("settles first-order outputs within the limit, and reports an uncertainty that covers the error", () => {
    fc.assert(
      fc.property(fc.double({ min: 0.2, max: 6, noNaN: true }), fc.integer({ min: 1, max: 1e6 }), (tau, seed) => {
        const { verdict } = replay(equivalenceRule(detector), { output: step(tau), sigma: 0.005, seed });
        if (verdict.kind !== "settled") throw new Error(verdict.kind);
        expect(Math.abs(verdict.value - 50)).toBeLessThan(0.05);
        expect(Math.abs(verdict.value - 50)).toBeLessThan(3 * verdict.u);
      }),
      { numRuns: 60 },
    );
  });

  it("waits its least dwell", () => {
    const { at_s } = replay(equivalenceRule({ ...detector, minimum_dwell_s: 30 }), { output: () => 50, sigma: 0.003 });
    expect(at_s).toBe(30);
  });

  it("names hunting with amplitude and period", () => {
    const { verdict } = replay(equivalenceRule(detector), {
      output: (t) => 50 + 0.5 * Math.sin((2 * Math.PI * t) / 6),
    });
    expect(verdict).toMatchObject({ kind: "hunting" });
    if (verdict.kind !== "hunting") return;
    expect(verdict.period_s).toBeCloseTo(6, 0);
    expect(verdict.amplitude).toBeCloseTo(0.5, 1);
  });

  it("names drifting with its rate", () => {
    const { verdict } = replay(equivalenceRule(detector), { output: (t) => 50 + (0.6 * t) / 60, sigma: 0.003 });
    expect(verdict).toMatchObject({ kind: "drifting" });
    expect(verdict.kind === "drifting" && verdict.rate_per_min).toBeCloseTo(0.6, 1);
  });
});

describe("every rule", () => {
  const rules: readonly [string, () => SettlingRule][] = [
    ["band", () => bandRule(band)],
    ["slope", () => slopeRule(slope)],
    ["equivalence", () => equivalenceRule(detector)],
    ["fixed dwell", () => fixedDwellRule({ rule: "fixed-dwell", dwell_s: 30, average_s: 5 })],
  ];
  it.each(rules)("%s calls a silent gauge silent and not steady", (_, make) => {
    const { verdict } = replay(make(), { output: (t) => (t < 4 ? 50 : null) });
    expect(verdict).toMatchObject({ kind: "no-new-data" });
  });

  it.each(rules)("%s says the same of the same samples, also when begun a second time", (_, make) => {
    const rule = make();
    const once = replay(rule, { output: step(1), sigma: 0.004 });
    expect(replay(rule, { output: step(1), sigma: 0.004 })).toEqual(once);
    expect(replay(make(), { output: step(1), sigma: 0.004 })).toEqual(once);
  });
});
