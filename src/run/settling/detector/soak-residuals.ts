import type { Series } from "./series.ts";
import { slope } from "./statistics.ts";

/** What is left of the late readings of a stroke when their expected course is taken off. */
export interface Residuals {
  /** Standard deviation of single readings. */
  readonly scatter: number;
  /** Variance over that between neighbours: 1 for white noise, more for slow swings, less when they alternate. */
  readonly swing: number;
  /** 3 for honest noise, towards 1 for a square swing that the gauge samples too seldom. */
  readonly kurtosis: number;
  /** Variance of means over a second beyond what white noise explains; by chance below 0. */
  readonly wander: number;
  readonly readings: number;
  /** Range of means over 2 s, and the noise such a range has of itself, % of span. */
  readonly unrest: number;
  readonly unrestNoise: number;
}

export function residualsOf(series: Series, since: number, white: number, expected: (t: number) => number): Residuals {
  const first = series.since(since);
  const n = series.length - first;
  if (n < 12) {
    return { scatter: 0, swing: 1, kurtosis: 3, wander: 0.003 ** 2, readings: n, unrest: 0, unrestNoise: 0 };
  }
  let two = 0;
  let four = 0;
  let step = 0;
  let before = Number.NaN;
  for (let i = first; i < series.length; i++) {
    const r = series.valueAt(i) - expected(series.at(i));
    two += r * r;
    four += r ** 4;
    if (!Number.isNaN(before)) step += (r - before) ** 2;
    before = r;
  }
  const variance = two / n;
  let seconds = 0;
  let spread = 0;
  means(series, first, 1, expected, (mean, count) => {
    seconds++;
    spread += mean * mean - white / count;
  });
  let lo = Number.POSITIVE_INFINITY;
  let hi = Number.NEGATIVE_INFINITY;
  let fewest = Number.POSITIVE_INFINITY;
  means(series, first, 2, expected, (mean, count) => {
    lo = Math.min(lo, mean);
    hi = Math.max(hi, mean);
    fewest = Math.min(fewest, count);
  });
  return {
    scatter: Math.sqrt(variance),
    swing: step > 0 ? variance / (step / (2 * (n - 1))) : 1,
    kurtosis: variance > 0 ? four / n / variance ** 2 : 3,
    wander: seconds > 0 ? spread / seconds : 0.003 ** 2,
    readings: n,
    unrest: hi > lo ? hi - lo : 0,
    unrestNoise: Number.isFinite(fewest) ? 4 * Math.sqrt(white / fewest) : 0,
  };
}

function means(
  series: Series,
  first: number,
  width: number,
  expected: (t: number) => number,
  take: (mean: number, count: number) => void,
): void {
  for (let i = first; i < series.length; ) {
    const end = series.at(i) + width;
    let sum = 0;
    let n = 0;
    while (i < series.length && series.at(i) < end) {
      sum += series.valueAt(i) - expected(series.at(i));
      n++;
      i++;
    }
    take(sum / n, n);
  }
}

/** The least squares line through the readings since a time. */
export function lineThrough(series: Series, since: number, variance: number): (t: number) => number {
  const [rate] = slope(series, since, variance);
  const first = series.since(since);
  const n = Math.max(1, series.length - first);
  let t = 0;
  let v = 0;
  for (let i = first; i < series.length; i++) {
    t += series.at(i) / n;
    v += series.valueAt(i) / n;
  }
  return (time) => v + (rate / 60) * (time - t);
}
