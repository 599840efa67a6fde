import type { SettlingSample } from "../settling-rule.ts";

export interface TimedValue {
  readonly time_s: number;
  readonly value: number;
}

/**
 * Readings of one point, conditioned without looking ahead: polls without a value are dropped, an exact repeat counts
 * only when the gauge has had time to renew its value, and single outliers are held back until a second look.
 */
export class SampleWindow {
  #kept: TimedValue[] = [];
  #suspects: TimedValue[] = [];
  #last: TimedValue | null = null;
  #changes: number[] = [];
  readonly #stale: number[] = [];
  #lastGood_s: number;
  readonly begun_s: number;

  constructor(begun_s: number) {
    this.begun_s = begun_s;
    this.#lastGood_s = begun_s;
  }

  /** Time since the gauge last gave any value. */
  silentFor(now_s: number): number {
    return now_s - this.#lastGood_s;
  }

  /** Everything that counts as a reading so far. */
  get kept(): readonly TimedValue[] {
    return this.#kept;
  }

  /** Instants of the repeats that were taken for stale. */
  get staleTimes(): readonly number[] {
    return this.#stale;
  }

  take(sample: SettlingSample): void {
    if (sample.value === null) return;
    this.#lastGood_s = sample.time_s;
    const value = { time_s: sample.time_s, value: sample.value };
    if (this.#isStale(value)) {
      this.#stale.push(value.time_s);
      return;
    }
    if (this.#last !== null && value.value !== this.#last.value) this.#changes.push(value.time_s - this.#last.time_s);
    this.#last = value;
    this.#despike(value);
  }

  /** Readings of the last `window_s`, or null while the point is younger than that. */
  trailing(window_s: number, now_s: number): readonly TimedValue[] | null {
    const from = now_s - window_s;
    return from < this.begun_s - 1e-9 ? null : this.#kept.filter((k) => k.time_s >= from - 1e-9);
  }

  /** Renewal period of the gauge: a low quantile of the times between changes; unknown before two changes. */
  #period(): number | null {
    if (this.#changes.length < 2) return null;
    const sorted = this.#changes.toSorted((a, b) => a - b);
    return sorted[Math.floor(0.2 * (sorted.length - 1))] ?? null;
  }

  #isStale(value: TimedValue): boolean {
    if (this.#last === null || value.value !== this.#last.value) return false;
    // A display that has not changed for a second is a quiet gauge, not a stale one.
    return value.time_s - this.#last.time_s < 1.5 * Math.min(this.#period() ?? 1, 1);
  }

  /** A value far from the median of the last seven waits; three in a row on one side are a real move. */
  #despike(value: TimedValue): void {
    const recent = this.#kept.slice(-7).map((k) => k.value);
    const centre = median(recent);
    const scale = 1.4826 * median(recent.map((v) => Math.abs(v - centre)));
    const far = recent.length >= 5 && Math.abs(value.value - centre) > Math.max(8 * scale, 0.1);
    if (!far) {
      this.#suspects = [];
      this.#kept.push(value);
      return;
    }
    const side = Math.sign(value.value - centre);
    if (this.#suspects.some((s) => Math.sign(s.value - centre) !== side)) this.#suspects = [];
    this.#suspects.push(value);
    if (this.#suspects.length < 3) return;
    this.#kept.push(...this.#suspects);
    this.#suspects = [];
  }
}

const median = (values: readonly number[]): number => {
  const sorted = values.toSorted((a, b) => a - b);
  const half = sorted.length >> 1;
  const upper = sorted[half] ?? 0;
  return sorted.length % 2 === 1 ? upper : (upper + (sorted[half - 1] ?? upper)) / 2;
};

export const meanOf = (values: readonly number[]): number =>
  values.length === 0 ? 0 : values.reduce((sum, v) => sum + v, 0) / values.length;

/** Sample standard deviation (divisor n - 1); 0 for fewer than two values. */
export const spreadOf = (values: readonly number[]): number => {
  if (values.length < 2) return 0;
  const mean = meanOf(values);
  return Math.sqrt(values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / (values.length - 1));
};

/** Two-sided 95 % quantile of Student's t for n - 2 degrees of freedom, n = 3 to 12 (standard table); 2.2 beyond. */
const T_95 = [12.71, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228];

export interface Line {
  /** Per second. */
  readonly slope: number;
  readonly se: number;
  /** Half-width of the 95 % interval of the slope: few readings make it wide. */
  readonly halfWidth: number;
  /** Residual standard deviation about the line. */
  readonly residual: number;
}

/** Straight line by least squares, with the standard error of its slope; null for fewer than three readings. */
export const lineThrough = (values: readonly TimedValue[]): Line | null => {
  if (values.length < 3) return null;
  const t = meanOf(values.map((v) => v.time_s));
  const y = meanOf(values.map((v) => v.value));
  const sxx = values.reduce((sum, v) => sum + (v.time_s - t) ** 2, 0);
  if (sxx === 0) return null;
  const slope = values.reduce((sum, v) => sum + (v.time_s - t) * (v.value - y), 0) / sxx;
  const rss = values.reduce((sum, v) => sum + (v.value - y - slope * (v.time_s - t)) ** 2, 0);
  const residual = Math.sqrt(rss / (values.length - 2));
  const se = residual / Math.sqrt(sxx);
  return { slope, se, halfWidth: (T_95[values.length - 3] ?? 2.2) * se, residual };
};

/** "Settled" with the plain mean of these readings; `residual` is the movement that may still come. */
export const settledOn = (values: readonly TimedValue[], residual: number) => {
  const u_noise = spreadOf(values.map((v) => v.value)) / Math.sqrt(Math.max(1, values.length));
  return {
    kind: "settled",
    value: meanOf(values.map((v) => v.value)),
    u: Math.hypot(u_noise, residual),
    u_residual: residual,
    n_effective: values.length,
    from_s: values[0]?.time_s ?? 0,
    to_s: values.at(-1)?.time_s ?? 0,
  } as const;
};
