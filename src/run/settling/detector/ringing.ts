import type { Series } from "./series.ts";
import type { Ringing } from "./unit-memory.ts";

/**
 * Period and envelope of a damped swing about the final value in a held stroke, or null when the response did not overshoot.
 * The first guess comes from the extremes; a search over periods and envelopes refines it by least squares.
 */
export function findRinging(
  series: Series,
  passed60: number,
  final: number,
  step: number,
  noise: number,
  resolution: number,
): Ringing | null {
  const sense = Math.sign(step);
  const visible = Math.max(6 * noise, 4 * resolution, 0.06);
  const times: number[] = [];
  const sizes: number[] = [];
  let side = 0;
  let peak = 0;
  let peakAt = 0;
  const first = series.since(passed60);
  for (let i = first; i < series.length; i++) {
    const d = sense * (series.valueAt(i) - final);
    const now = d > visible ? 1 : d < -visible ? -1 : 0;
    if (times.length + (side > 0 ? 1 : 0) === 0 && now < 0) continue;
    if (now !== 0 && now !== side) {
      if (side !== 0) {
        times.push(peakAt);
        sizes.push(peak);
      }
      if (times.length > 40) break;
      side = now;
      peak = 0;
    }
    if (side !== 0 && side * d > peak) {
      peak = side * d;
      peakAt = series.at(i);
    }
  }
  if (side !== 0 && peak > 0) {
    times.push(peakAt);
    sizes.push(peak);
  }
  const t0 = times[0];
  const s0 = sizes[0];
  if (t0 === undefined || s0 === undefined) return null;
  // Negative creep overshoots by a few thousandths of the step, once.
  if (sizes.length < 2 && s0 < 0.004 * Math.abs(step)) return null;
  let half = 1.2 * (t0 - passed60);
  // An overshoot that creeps back is no ringing: a swing returns soon.
  let back = series.since(t0);
  while (back < series.length && sense * (series.valueAt(back) - final) > s0 / 2) back++;
  if (back >= series.length || series.at(back) - t0 > Math.max(2.5 * half, 2)) return null;
  let ratio = Math.max(1.5, Math.abs(step) / s0);
  const last = times.length - 1;
  if (last > 0) {
    half = ((times[last] ?? t0) - t0) / last;
    ratio = Math.max(1.05, (s0 / (sizes[last] ?? s0)) ** (1 / last));
  }
  const guess = { period: 2 * half, envelope: half / Math.log(ratio) };
  const found = refine(series, t0, guess);
  return found.period < 30 && found.envelope < 5 ? found : null;
}

function refine(series: Series, from: number, guess: Ringing): Ringing {
  const to = from + Math.max(3 * guess.period, 6 * guess.envelope);
  const first = series.since(from);
  const end = Math.min(series.length, series.since(to));
  if (end - first < 10) return guess;
  const stride = Math.max(1, Math.floor((end - first) / 150));
  let best = guess;
  let least = Number.POSITIVE_INFINITY;
  for (let p = 0; p < 13; p++) {
    const period = guess.period * 0.6 * 1.1 ** p;
    for (let e = 0; e < 9; e++) {
      const envelope = guess.envelope * 0.45 * 1.22 ** e;
      const rss = residual(series, first, end, stride, period, envelope);
      if (rss < least) {
        least = rss;
        best = { period, envelope };
      }
    }
  }
  return best;
}

/** Residual sum of squares of constant + damped cosine and sine, by normal equations. */
function residual(
  series: Series,
  first: number,
  end: number,
  stride: number,
  period: number,
  envelope: number,
): number {
  const turn = (2 * Math.PI) / period;
  const t0 = series.at(first);
  let n = 0;
  let c1 = 0;
  let s1 = 0;
  let y1 = 0;
  let cc = 0;
  let ss = 0;
  let cs = 0;
  let cy = 0;
  let sy = 0;
  let yy = 0;
  const shift = series.valueAt(end - 1);
  for (let i = first; i < end; i += stride) {
    const t = series.at(i) - t0;
    const e = Math.exp(-t / envelope);
    const c = e * Math.cos(turn * t);
    const s = e * Math.sin(turn * t);
    const y = series.valueAt(i) - shift;
    n++;
    c1 += c;
    s1 += s;
    y1 += y;
    cc += c * c;
    ss += s * s;
    cs += c * s;
    cy += c * y;
    sy += s * y;
    yy += y * y;
  }
  cc -= (c1 * c1) / n;
  ss -= (s1 * s1) / n;
  cs -= (c1 * s1) / n;
  cy -= (c1 * y1) / n;
  sy -= (s1 * y1) / n;
  yy -= (y1 * y1) / n;
  const det = cc * ss - cs * cs;
  if (!(det > 1e-12 * cc * ss)) return yy;
  const a = (ss * cy - cs * sy) / det;
  const b = (cc * sy - cs * cy) / det;
  return Math.max(0, yy - a * cy - b * sy);
}
