import type { Series } from "./series.ts";
import { slope } from "./statistics.ts";

export interface Hunting {
  readonly centre: number;
  readonly amplitude: number;
  readonly period: number;
}

const maxCrossings = 256;
const crossing = new Float64Array(maxCrossings);
const extreme = new Float64Array(maxCrossings);

/**
 * Looks for a regular swing about the mean that does not die out: crossings of the mean with hysteresis, even half periods,
 * amplitude as large late as early. The centre is the mean over whole periods.
 */
export function findHunting(
  series: Series,
  since: number,
  limit: number,
  noise: number,
  wanted: number,
  span: number,
): Hunting | null {
  const first = series.since(since);
  const n = series.length - first;
  if (n < 12) return null;
  let mean = 0;
  for (let i = first; i < series.length; i++) mean += series.valueAt(i);
  mean /= n;
  if (span > 0 && wanted > 5) {
    // Of a unit nobody suspects a swing must show between neighbouring readings, or noise would pass for it by chance.
    let square = 0;
    for (let i = first; i < series.length; i++) square += (series.valueAt(i) - mean) ** 2;
    if (square / n < 2 * noise * noise) return null;
  }
  const hysteresis = Math.max(0.45 * limit, 2.5 * noise);
  let side = 0;
  let count = 0;
  let peak = 0;
  for (let i = first; i < series.length; i++) {
    const d = series.valueAt(i) - mean;
    const now = d > hysteresis ? 1 : d < -hysteresis ? -1 : 0;
    if (now !== 0 && now !== side) {
      if (count > 0 && count <= maxCrossings) extreme[count - 1] = peak;
      if (count < maxCrossings) crossing[count++] = series.at(i);
      side = now;
      peak = 0;
    }
    peak = Math.max(peak, side * d);
  }
  if (count < wanted || (crossing[count - 1] ?? 0) - (crossing[0] ?? 0) < span) return null;
  const halves = count - 1;
  let sum = 0;
  let square = 0;
  for (let i = 0; i < halves; i++) {
    const d = (crossing[i + 1] ?? 0) - (crossing[i] ?? 0);
    sum += d;
    square += d * d;
  }
  const half = sum / halves;
  const variation = Math.sqrt(Math.max(0, square / halves - half * half)) / half;
  if (variation > 0.6) return null;
  const cut = halves >> 1;
  let early = 0;
  let late = 0;
  let size = 0;
  for (let i = 0; i < halves; i++) {
    const p = extreme[i] ?? 0;
    size += p / halves;
    if (i < cut) early += p / cut;
    else late += p / (halves - cut);
  }
  if (size < 0.6 * limit || late < 0.7 * early || late > 1.5 * early) return null;
  // Whole periods only, weighted by time, so that an uneven last part does not pull the centre.
  const whole = halves - (halves % 2);
  const to = crossing[halves] ?? 0;
  const from = crossing[halves - whole] ?? 0;
  return { centre: timeMean(series, from, to), amplitude: size, period: 2 * half };
}

/** Since when the readings keep within the swing of the later half of the record: before that they were on their way. */
export function swingsSince(series: Series, now: number, elapsed: number): number {
  const recent = series.since(now - Math.min(60, Math.max(8, 0.6 * elapsed)));
  const n = series.length - recent;
  if (n === 0) return now;
  let mean = 0;
  for (let i = recent; i < series.length; i++) mean += series.valueAt(i) / n;
  let swing = 0;
  for (let i = recent; i < series.length; i++) swing = Math.max(swing, Math.abs(series.valueAt(i) - mean));
  let first = recent;
  while (first > 0 && Math.abs(series.valueAt(first - 1) - mean) <= 1.3 * swing) first--;
  return series.at(first) + (first > 0 ? 1 : 0);
}

function timeMean(series: Series, from: number, to: number): number {
  let area = 0;
  let span = 0;
  for (let i = series.since(from); i + 1 < series.length && series.at(i + 1) <= to; i++) {
    const dt = series.at(i + 1) - series.at(i);
    area += (dt * (series.valueAt(i) + series.valueAt(i + 1))) / 2;
    span += dt;
  }
  return span > 0 ? area / span : series.valueAt(series.length - 1);
}

/** A slope over the last `window` seconds that is surely above the bound and is not fading; %/min, or null. */
export function findDrift(
  series: Series,
  window: number,
  variance: number,
  bound: number,
  known?: (time: number) => number,
): number | null {
  const end = series.at(series.length - 1);
  if (series.length < 12 || end - series.at(0) < window) return null;
  const [rate, se] = slope(series, end - window, variance, known);
  if (Math.abs(rate) - 3 * se < bound) return null;
  const side = Math.sign(rate);
  const [late, lateSe] = slope(series, end - window / 2, variance, known);
  const [early] = slope(series, end - window, variance, known, end - window / 2);
  if (late * side < 0.75 * early * side - 2 * lateSe || late * side < bound / 2) return null;
  return rate;
}
