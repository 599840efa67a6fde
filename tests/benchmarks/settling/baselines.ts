import { Conditioner } from "../../../src/run/settling/detector/conditioner.ts";
import { GaugeMemory } from "../../../src/run/settling/detector/gauge-memory.ts";
import { Series } from "../../../src/run/settling/detector/series.ts";
import type {
  PointStart,
  SettlingRule,
  SettlingSample,
  SettlingVerdict,
} from "../../../src/run/settling/settling-rule.ts";

/**
 * Rules of common practice, to set the detector beside. They see the same cleaned stream, and their reading is the mean over
 * their own window.
 */
type Judge = (series: Series, first: number, elapsed: number) => boolean;

class WindowRule implements SettlingRule {
  readonly #gauge: GaugeMemory;
  readonly #stream: Conditioner;
  readonly #series = new Series();
  readonly #window: number;
  readonly #judge: Judge;
  readonly #begun: (() => void) | null;
  #at = 0;
  #fresh = false;

  constructor(resolution: number, window: number, judge: Judge, begun: (() => void) | null = null) {
    this.#gauge = new GaugeMemory(resolution, null);
    this.#stream = new Conditioner(this.#gauge);
    this.#window = window;
    this.#judge = judge;
    this.#begun = begun;
  }

  begin(start: PointStart): void {
    this.#at = start.at_s;
    this.#series.clear();
    this.#stream.begin(start.at_s);
    this.#begun?.();
  }

  take(sample: SettlingSample): SettlingVerdict {
    const s = this.#series;
    this.#fresh = false;
    this.#stream.take(sample.time_s, sample.value ?? Number.NaN, (time, value) => {
      s.push(time, value);
      this.#fresh = true;
    });
    const elapsed = sample.time_s - this.#at;
    const first = s.since(sample.time_s - this.#window);
    const n = s.length - first;
    if (this.#fresh && n >= 3 && elapsed > 1 && this.#judge(s, first, elapsed)) {
      return {
        kind: "settled",
        value: s.trailingMean(n),
        u: Number.NaN,
        u_residual: Number.NaN,
        n_effective: n,
        from_s: s.at(first),
        to_s: sample.time_s,
      };
    }
    if (elapsed >= 180) return { kind: "not-settled", waited_s: elapsed };
    return { kind: "settling", expected_s: null, confidence: 0 };
  }

  learned(): readonly string[] {
    return [];
  }
}

interface Line {
  readonly slope: number;
  readonly se: number;
}

function line(s: Series, first: number): Line {
  const n = s.length - first;
  let t = 0;
  let v = 0;
  for (let i = first; i < s.length; i++) {
    t += s.at(i) / n;
    v += s.valueAt(i) / n;
  }
  let tt = 0;
  let tv = 0;
  let vv = 0;
  for (let i = first; i < s.length; i++) {
    const dt = s.at(i) - t;
    const dv = s.valueAt(i) - v;
    tt += dt * dt;
    tv += dt * dv;
    vv += dv * dv;
  }
  const slope = tt > 0 ? tv / tt : 0;
  return { slope, se: tt > 0 ? Math.sqrt(Math.max(0, vv - slope * tv) / Math.max(1, n - 2) / tt) : 0 };
}

/** Rough Student t quantile, two-sided 5 %, enough for a rule of thumb. */
const student = (freedom: number): number => 1.96 + 2.4 / Math.max(1, freedom) + 3 / Math.max(1, freedom) ** 2;

const full = (s: Series, first: number, elapsed: number, window: number): boolean =>
  elapsed >= window && s.length - first >= 4 && s.at(s.length - 1) - s.at(first) > 0.6 * window;

export const fixedWait = (resolution: number, wait: number): SettlingRule =>
  new WindowRule(resolution, 2, (_s, _first, elapsed) => elapsed >= wait);

export const bandOver = (resolution: number, band: number, window: number): SettlingRule =>
  new WindowRule(resolution, window, (s, first, elapsed) => {
    if (!full(s, first, elapsed, window)) return false;
    let lo = Number.POSITIVE_INFINITY;
    let hi = Number.NEGATIVE_INFINITY;
    for (let i = first; i < s.length; i++) {
      lo = Math.min(lo, s.valueAt(i));
      hi = Math.max(hi, s.valueAt(i));
    }
    return hi - lo < band;
  });

export const slopeTest = (resolution: number, window: number): SettlingRule =>
  new WindowRule(resolution, window, (s, first, elapsed) => {
    if (!full(s, first, elapsed, window)) return false;
    const { slope, se } = line(s, first);
    return Math.abs(slope) < student(s.length - first - 2) * se || slope === 0;
  });

/** Two one-sided tests: the drift over the window is shown to be below `drift`. */
export const equivalence = (resolution: number, drift: number, window: number): SettlingRule =>
  new WindowRule(resolution, window, (s, first, elapsed) => {
    if (!full(s, first, elapsed, window)) return false;
    const { slope, se } = line(s, first);
    return (Math.abs(slope) + 0.85 * student(s.length - first - 2) * se) * window < drift;
  });

/** Ratio of two filtered variances (Cao and Rhinehart, J. Process Control 5 (1995) 363). */
export function varianceRatio(resolution: number): SettlingRule {
  let mean = Number.NaN;
  let last = Number.NaN;
  let spread = 0;
  let steps = 0;
  let since = Number.NaN;
  const restart = (): void => {
    mean = Number.NaN;
    last = Number.NaN;
    spread = 0;
    steps = 0;
    since = Number.NaN;
  };
  return new WindowRule(
    resolution,
    2,
    (s) => {
      const x = s.valueAt(s.length - 1);
      const t = s.at(s.length - 1);
      if (Number.isNaN(mean)) {
        mean = x;
        last = x;
        return false;
      }
      spread = 0.1 * (x - mean) ** 2 + 0.9 * spread;
      mean = 0.2 * x + 0.8 * mean;
      steps = 0.1 * (x - last) ** 2 + 0.9 * steps;
      last = x;
      const ratio = steps > 0 ? ((2 - 0.2) * spread) / steps : spread > 0 ? 9 : 1;
      if (ratio >= 2) since = Number.NaN;
      else if (Number.isNaN(since)) since = t;
      return t - since >= 2;
    },
    restart,
  );
}
