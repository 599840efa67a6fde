import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createDetector, type DetectorSettings } from "../../../src/run/settling/detector.ts";
import {
  isFinal,
  type PointStart,
  type SettlingRule,
  type SettlingVerdict,
} from "../../../src/run/settling/settling-rule.ts";
import { SeededRandom } from "../../benchmarks/settling/seeded-random.ts";

/** Checks of the rule itself on made-up signals whose answer is known exactly; the statistics are in the benchmark. */

const point = (from: number, to: number, at_s = 0): PointStart => ({ at_s, from, to, role: "point" });
const exercise = (at_s = 0): PointStart => ({ at_s, from: 0, to: 100, role: "exercise" });

interface Outcome {
  readonly verdict: SettlingVerdict;
  readonly time: number;
}

/** Polls `signal` every `period` seconds until the rule decides or `longest` has passed. */
function feed(
  rule: SettlingRule,
  start: PointStart,
  signal: (t: number) => number | null,
  period = 0.2,
  longest = 400,
): Outcome {
  rule.begin(start);
  let verdict: SettlingVerdict = { kind: "moving", expected_s: null, confidence: 0 };
  for (let i = 1; i * period <= longest; i++) {
    verdict = rule.take({ time_s: start.at_s + i * period, value: signal(i * period) });
    if (isFinal(verdict)) return { verdict, time: i * period };
  }
  return { verdict, time: longest };
}

const rounded = (value: number, q: number): number => Math.round(value / q) * q;

/** First-order response with white noise and a display digit. */
function lag(from: number, to: number, tau: number, noise: number, q = 0.001, seed = 1): (t: number) => number {
  const random = new SeededRandom(seed);
  return (t) => rounded(to + (from - to) * Math.exp(-Math.max(0, t - 0.3) / tau) + noise * random.normal(), q);
}

const withDigit = (settings: DetectorSettings = {}): SettlingRule => createDetector({ resolution: 0.001, ...settings });

describe("a plain response", () => {
  it("is read once what is left of it is small, not before and not long after", () => {
    const rule = withDigit();
    const { verdict, time } = feed(rule, point(0, 100), lag(0, 100, 1, 0.004));
    expect(verdict.kind).toBe("settled");
    if (verdict.kind !== "settled") return;
    // 100 exp(-t) falls below half the limit, 0.025 %, after 8.3 s (plus 0.3 s dead time).
    expect(time).toBeGreaterThan(7.5);
    expect(time).toBeLessThan(25);
    expect(Math.abs(verdict.value - 100)).toBeLessThan(0.05);
    expect(verdict.u).toBeGreaterThan(0.001);
    expect(verdict.u).toBeLessThan(0.05);
    expect(verdict.u_residual).toBeLessThanOrEqual(verdict.u);
    expect(verdict.n_effective).toBeGreaterThanOrEqual(1);
    expect(verdict.from_s).toBeLessThanOrEqual(verdict.to_s);
  });

  it("gives a mean of readings, never more than a reading has shown", () => {
    const seen: number[] = [];
    const signal = lag(0, 50, 2, 0.003);
    const rule = withDigit();
    const { verdict } = feed(rule, point(0, 50), (t) => {
      const value = signal(t);
      seen.push(value);
      return value;
    });
    expect(verdict.kind).toBe("settled");
    if (verdict.kind !== "settled") return;
    const used = seen.slice(Math.round(verdict.from_s / 0.2) - 1, Math.round(verdict.to_s / 0.2));
    const mean = used.reduce((a, b) => a + b, 0) / used.length;
    expect(verdict.value).toBeCloseTo(mean, 9);
  });

  it("is read sooner when the unit is known from its exercise and earlier points", () => {
    const fresh = feed(withDigit(), point(0, 50), lag(0, 50, 2, 0.004, 0.001, 5)).time;
    const rule = withDigit();
    feed(rule, exercise(), lag(0, 100, 2, 0.004, 0.001, 3));
    feed(rule, point(100, 0, 300), lag(100, 0, 2, 0.004, 0.001, 4));
    const known = feed(rule, point(0, 50, 600), lag(0, 50, 2, 0.004, 0.001, 5));
    expect(known.verdict.kind).toBe("settled");
    expect(known.time).toBeLessThan(fresh);
    // 50 exp(-t / 2) is 0.025 % after 15.2 s.
    expect(known.time).toBeGreaterThan(13.5);
    expect(known.time).toBeLessThan(18.5);
    const words = rule.learned().join(" ");
    expect(words).toMatch(/time constant of about (1\.[5-9]|2\.[0-5]) s/);
    expect(words).toMatch(/a new value every 0\.2/);
    expect(words).toMatch(/scatters by 0\.00[345]/);
  });

  it("says how long it may still take, better so once points of the unit are known", () => {
    const rule = withDigit();
    feed(rule, exercise(), lag(0, 100, 2, 0.004));
    feed(rule, point(100, 50, 300), lag(100, 50, 2, 0.004));
    rule.begin(point(50, 0, 600));
    const signal = lag(50, 0, 2, 0.004);
    let last: SettlingVerdict = { kind: "moving", expected_s: null, confidence: 0 };
    for (let i = 1; i <= 40; i++) last = rule.take({ time_s: 600 + i * 0.2, value: signal(i * 0.2) });
    expect(last.kind).toBe("settling");
    if (last.kind !== "settling") return;
    // 8 s after the command; it ends near 15 s.
    expect(last.expected_s).toBeGreaterThan(3);
    expect(last.expected_s).toBeLessThan(13);
  });

  it("waits longer when hysteresis is judged and when a minimum dwell is asked", () => {
    const plain = feed(withDigit(), point(0, 50), lag(0, 50, 3, 0.004)).time;
    const strict = feed(withDigit({ forHysteresis: true }), point(0, 50), lag(0, 50, 3, 0.004)).time;
    const dwell = feed(withDigit({ minimumDwell_s: 60 }), point(0, 50), lag(0, 50, 3, 0.004)).time;
    expect(strict).toBeGreaterThan(plain);
    expect(dwell).toBeGreaterThanOrEqual(60);
    expect(dwell).toBeLessThan(61);
  });
});

describe("what never settles is named", () => {
  const noisy = (seed: number) => {
    const random = new SeededRandom(seed);
    return (value: number) => rounded(value + 0.003 * random.normal(), 0.001);
  };

  it("hunting, with centre, amplitude and period", () => {
    const noise = noisy(2);
    const swing = (t: number): number =>
      noise(50 - 50 * Math.exp(-t / 0.5) + 0.1 * Math.sign(Math.sin((2 * Math.PI * t) / 3.1)));
    const rule = withDigit();
    feed(rule, exercise(), (t) => 2 * swing(t));
    const { verdict } = feed(rule, point(0, 50, 300), swing);
    expect(verdict.kind).toBe("hunting");
    if (verdict.kind !== "hunting") return;
    expect(Math.abs(verdict.centre - 50)).toBeLessThan(0.02);
    expect(verdict.period_s).toBeGreaterThan(2.9);
    expect(verdict.period_s).toBeLessThan(3.3);
    expect(verdict.amplitude).toBeGreaterThan(0.08);
    expect(verdict.amplitude).toBeLessThan(0.13);
  });

  it("drifting, with its rate", () => {
    const noise = noisy(3);
    const { verdict } = feed(withDigit(), point(0, 20), (t) => noise(20 - 20 * Math.exp(-t / 0.5) + (0.4 * t) / 60));
    expect(verdict.kind).toBe("drifting");
    if (verdict.kind === "drifting") expect(verdict.rate_per_min).toBeCloseTo(0.4, 1);
  });

  it("a swing too slow to call hunting in time is not settled", () => {
    const rule = withDigit();
    const noise = noisy(4);
    const slow = (base: (t: number) => number) => (t: number) =>
      noise(base(t) + 0.12 * Math.sin((2 * Math.PI * t) / 40));
    feed(
      rule,
      exercise(),
      slow((t) => 100 - 100 * Math.exp(-t)),
      0.2,
      90,
    );
    const { verdict } = feed(
      rule,
      point(100, 50, 300),
      slow((t) => 50 + 50 * Math.exp(-t)),
    );
    expect(["not-settled", "hunting", "drifting"]).toContain(verdict.kind);
    expect(rule.learned().join(" ")).toMatch(/not steady in the exercise/);
  });
});

describe("a unit that fools is trusted less", () => {
  /** Stops 0.2 % short and slips home after 5 s. */
  const sticks = (from: number, to: number, seed: number) => {
    const random = new SeededRandom(seed);
    const short = 0.2 * Math.sign(to - from);
    return (t: number): number => {
      const home = t > 9 ? short * (1 - Math.exp(-(t - 9) / 0.2)) : 0;
      return rounded(to - short + home + (from - to + short) * Math.exp(-t / 0.5) + 0.003 * random.normal(), 0.001);
    };
  };

  it("waits past the slip once the exercise showed one, and says so", () => {
    const rule = withDigit();
    feed(rule, exercise(), sticks(0, 100, 1));
    const { verdict, time } = feed(rule, point(100, 50, 300), sticks(100, 50, 2));
    expect(time).toBeGreaterThan(9);
    expect(verdict.kind).toBe("settled");
    if (verdict.kind === "settled") expect(Math.abs(verdict.value - 50)).toBeLessThan(0.05);
    expect(rule.learned().join(" ")).toMatch(/stood and then moved again/);
  });

  it("learns from a reading that did not hold until the next command", () => {
    const rule = withDigit();
    feed(rule, exercise(), lag(0, 100, 0.5, 0.003));
    const first = feed(rule, point(100, 80, 300), sticks(100, 80, 3));
    // Nothing could warn of the first one.
    expect(first.time).toBeLessThan(9);
    const slipped = lag(80, 60, 0.5, 0.003);
    const second = feed(rule, point(80, 60, 600), (t) =>
      t < 0.5 ? rounded(80 + 0.004 * Math.sin(31 * t), 0.001) : slipped(t),
    );
    expect(rule.learned().join(" ")).not.toBe("");
    expect(second.time).toBeGreaterThan(first.time - 1);
    const third = feed(rule, point(60, 40, 900), sticks(60, 40, 4));
    expect(third.time).toBeGreaterThan(9);
  });
});

describe("bad data", () => {
  it("single spikes and lost polls change nothing much", () => {
    const signal = lag(0, 50, 1, 0.004);
    const { verdict, time } = feed(withDigit(), point(0, 50), (t) => {
      const value = signal(t);
      const k = Math.round(t / 0.2);
      if (k % 17 === 0) return null;
      return k % 23 === 0 ? -25 : value;
    });
    expect(verdict.kind).toBe("settled");
    if (verdict.kind === "settled") expect(Math.abs(verdict.value - 50)).toBeLessThan(0.05);
    expect(time).toBeLessThan(25);
  });

  it("a gauge that renews its value seldom is not counted twice", () => {
    const random = new SeededRandom(9);
    let shown = 0;
    const stale = (t: number): number => {
      if (Math.round(t / 0.1) % 12 === 1)
        shown = rounded(50 - 50 * Math.exp(-t / 1.5) + 0.006 * random.normal(), 0.001);
      return shown;
    };
    const { verdict } = feed(withDigit(), point(0, 50), stale, 0.1);
    expect(verdict.kind).toBe("settled");
    if (verdict.kind !== "settled") return;
    expect(Math.abs(verdict.value - 50)).toBeLessThan(0.05);
    // Three samples of a gauge that renews every 1.2 s span 2.4 s.
    expect(verdict.to_s - verdict.from_s).toBeGreaterThan(2);
  });

  it("a gauge that freezes on the way is not read", () => {
    const rule = withDigit();
    feed(rule, exercise(), lag(0, 100, 2, 0.004));
    const signal = lag(100, 50, 2, 0.004);
    const frozen = signal(6);
    const { verdict } = feed(rule, point(100, 50, 300), (t) => (t < 6 ? signal(t) : frozen));
    expect(verdict.kind).toBe("no-new-data");
  });
});

describe("degenerate input ends in a named verdict", () => {
  const end = (rule: SettlingRule, start: PointStart, signal: (t: number) => number | null): string =>
    feed(rule, start, signal).verdict.kind;

  it("nothing but lost polls", () => expect(end(withDigit(), point(0, 50), () => null)).toBe("no-new-data"));
  it("nothing but NaN", () => expect(end(withDigit(), point(0, 50), () => Number.NaN)).toBe("no-new-data"));
  it("infinite values", () =>
    expect(end(withDigit(), point(0, 50), () => Number.POSITIVE_INFINITY)).toBe("no-new-data"));
  it("one value for ever", () => {
    expect(end(withDigit(), point(0, 50), () => 50)).toBe("no-new-data");
    expect(end(createDetector(), point(0, 50), () => 0)).toBe("no-new-data");
    expect(end(withDigit({ updatePeriod_s: 0.2 }), point(0, 50), () => 50)).toBe("no-new-data");
  });
  it("a single reading", () => expect(end(withDigit(), point(0, 50), (t) => (t < 0.3 ? 3 : null))).toBe("no-new-data"));
  it("a display coarser than the limit", () => {
    const { verdict } = feed(createDetector({ resolution: 0.2 }), point(0, 50), (t) =>
      rounded(50.03 - 50 * Math.exp(-t), 0.2),
    );
    expect(isFinal(verdict)).toBe(true);
    if (verdict.kind === "settled") expect(verdict.u).toBeGreaterThan(0.2 / Math.sqrt(12) - 0.01);
  });

  it("time that stands still or goes back", () => {
    for (const next of [() => 5, (i: number) => -i, () => Number.NaN]) {
      const rule = withDigit();
      rule.begin(point(0, 50));
      let verdict = rule.take({ time_s: 5, value: 1 });
      let n = 0;
      while (!isFinal(verdict) && n < 5000) verdict = rule.take({ time_s: next(n++), value: 1 + n });
      expect(verdict.kind).toBe("no-new-data");
    }
  });

  it("jumps in time and value", () => {
    const random = new SeededRandom(4);
    const { verdict } = feed(withDigit(), point(0, 50), () => 100 * random.next());
    expect(["not-settled", "hunting", "drifting"]).toContain(verdict.kind);
    const rule = withDigit();
    rule.begin(point(0, 50));
    expect(isFinal(rule.take({ time_s: 1e9, value: 50 }))).toBe(true);
  });

  it("samples before any start, and starts that mean nothing", () => {
    const rule = withDigit();
    expect(rule.take({ time_s: 1, value: 1 }).kind).toBe("moving");
    rule.begin({ at_s: Number.NaN, from: Number.NaN, to: Number.POSITIVE_INFINITY, role: "point" });
    expect(
      isFinal(feed(rule, { at_s: 0, from: Number.NaN, to: 50, role: "point" }, lag(0, 50, 1, 0.003)).verdict),
    ).toBe(true);
  });

  it("a verdict stays", () => {
    const rule = withDigit();
    const { verdict } = feed(rule, point(0, 50), lag(0, 50, 1, 0.003));
    expect(rule.take({ time_s: 500, value: 12 })).toBe(verdict);
  });

  it("any stream ends, without an exception and with finite numbers", () => {
    const value = fc.oneof(
      fc.double({ min: -30, max: 130, noNaN: true }),
      fc.constantFrom(null, Number.NaN, 50, 50.001, 1e300, -1e300),
    );
    const gap = fc.constantFrom(0, -1, 0.01, 0.1, 0.25, 0.5, 2);
    fc.assert(
      fc.property(
        fc.array(fc.tuple(gap, value), { maxLength: 120 }),
        fc.boolean(),
        fc.integer({ min: 0, max: 100 }),
        (steps, role, to) => {
          const rule = createDetector({ timeout_s: 60 });
          rule.begin({ at_s: 0, from: 0, to, role: role ? "exercise" : "point" });
          let t = 0;
          let verdict: SettlingVerdict = { kind: "moving", expected_s: null, confidence: 0 };
          for (const [gapBefore, v] of steps) {
            t += gapBefore;
            verdict = rule.take({ time_s: t, value: v });
          }
          for (let i = 1; i <= 800 && !isFinal(verdict); i++) {
            verdict = rule.take({ time_s: Math.max(t, 0) + 0.25 * i, value: 10 });
          }
          expect(isFinal(verdict)).toBe(true);
          for (const n of Object.values(verdict)) if (typeof n === "number") expect(Number.isFinite(n)).toBe(true);
          expect(rule.learned().every((line) => !/NaN|Infinity/.test(line))).toBe(true);
        },
      ),
      { numRuns: 60 },
    );
  });
});

describe("no reading looks ahead and none depends on anything but its samples", () => {
  it("the same samples give the same verdicts", () => {
    const run = (): string => {
      const rule = withDigit();
      const first = feed(rule, exercise(), lag(0, 100, 1, 0.004));
      const second = feed(rule, point(100, 30, 300), lag(100, 30, 1, 0.004));
      return JSON.stringify([first, second, rule.learned()]);
    };
    expect(run()).toBe(run());
  });
});
