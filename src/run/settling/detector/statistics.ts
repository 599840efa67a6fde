import type { Series } from "./series.ts";

/** Trimmed mean square of second differences / 6 over the last `n` readings; never below the rounding of the display. */
export function localVariance(series: Series, n: number, resolution: number): number {
  const end = series.length;
  const first = Math.max(0, end - n);
  const count = end - first - 2;
  const floor = Math.max(1e-8, resolution ** 2 / 12);
  if (count < 2) return floor;
  let sum = 0;
  let most = 0;
  for (let i = first + 1; i < end - 1; i++) {
    const d = series.valueAt(i - 1) - 2 * series.valueAt(i) + series.valueAt(i + 1);
    sum += d * d;
    if (d * d > most) most = d * d;
  }
  // Leaving the largest out of many costs about 15 % of the variance of a normal sample.
  return Math.max(floor, (count > 4 ? (1.15 * (sum - most)) / (count - 1) : sum / count) / 6);
}

const squares = new Float64Array(64);

/** The same from the median, over at most the last 66 readings: a few steps or bends among them do not count. */
export function robustVariance(series: Series, n: number, resolution: number): number {
  const end = series.length;
  const first = Math.max(0, end - Math.min(n, 66));
  const count = end - first - 2;
  if (count < 2) return resolution ** 2 / 12;
  for (let i = 0; i < count; i++) {
    const at = first + 1 + i;
    squares[i] = (series.valueAt(at - 1) - 2 * series.valueAt(at) + series.valueAt(at + 1)) ** 2;
  }
  const sorted = squares.subarray(0, count).sort();
  // Median of a squared standard normal: 0.455.
  return Math.max(resolution ** 2 / 12, (sorted[count >> 1] ?? 0) / 0.455 / 6);
}

const nothing = (): number => 0;

/** Least squares slope over the readings in [since, until), %/min, with its standard error; `known` is taken off first. */
export function slope(
  series: Series,
  since: number,
  variance: number,
  known: (time: number) => number = nothing,
  until = Number.POSITIVE_INFINITY,
): readonly [number, number] {
  const first = series.since(since);
  const end = until === Number.POSITIVE_INFINITY ? series.length : series.since(until);
  const n = end - first;
  if (n < 3) return [0, Number.POSITIVE_INFINITY];
  let t = 0;
  let v = 0;
  for (let i = first; i < end; i++) {
    t += series.at(i);
    v += series.valueAt(i) - known(series.at(i));
  }
  t /= n;
  v /= n;
  let tt = 0;
  let tv = 0;
  for (let i = first; i < end; i++) {
    const dt = series.at(i) - t;
    tt += dt * dt;
    tv += dt * (series.valueAt(i) - known(series.at(i)) - v);
  }
  if (!(tt > 0)) return [0, Number.POSITIVE_INFINITY];
  return [(60 * tv) / tt, 60 * Math.sqrt(variance / tt)];
}

/** When the response passed 60 % of the way from its first reading to a level; the start for a step too small to tell. */
export function crossing60(series: Series, level: number, start: number): number {
  const from = series.valueAt(0);
  const way = level - from;
  if (Math.abs(way) < 0.3) return start;
  for (let i = 0; i < series.length; i++) if ((series.valueAt(i) - from) / way >= 0.6) return series.at(i);
  return series.at(series.length - 1);
}

/** Range of means over `width` seconds since a time, and the count of readings in the poorest of them. */
export function rangeOfMeans(
  series: Series,
  since: number,
  width: number,
): { readonly range: number; readonly fewest: number } {
  let lo = Number.POSITIVE_INFINITY;
  let hi = Number.NEGATIVE_INFINITY;
  let fewest = Number.POSITIVE_INFINITY;
  for (let i = series.since(since); i < series.length; ) {
    const end = series.at(i) + width;
    let sum = 0;
    let n = 0;
    while (i < series.length && series.at(i) < end) {
      sum += series.valueAt(i);
      n++;
      i++;
    }
    if (i >= series.length && n * 2 < fewest) break;
    fewest = Math.min(fewest, n);
    lo = Math.min(lo, sum / n);
    hi = Math.max(hi, sum / n);
  }
  return { range: hi > lo ? hi - lo : 0, fewest: Number.isFinite(fewest) ? fewest : 1 };
}
