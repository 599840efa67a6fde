import { creepFrom, modeCount, modeTau, slowCount, slowTau } from "./modes.ts";
import { findRinging } from "./ringing.ts";
import type { Series } from "./series.ts";
import { slope } from "./statistics.ts";
import type { Ringing } from "./unit-memory.ts";

const maxBlocks = 160;
const basisCount = modeCount + slowCount + 1;
const line = modeCount + slowCount;

export interface SoakFindings {
  readonly variance: number;
  /** When the response passed 60 % of the step. */
  readonly origin: number;
  readonly ringing: Ringing | null;
  /** Mean of the last readings. */
  readonly final: number;
  /** Slow movement as a share of the step, one entry a slow mode, and its standard deviation. */
  readonly share: Float64Array;
  readonly shareSd: Float64Array;
  readonly tauWeight: Float64Array;
  /** Standard deviation of a straight drift that cannot be told from creep, and the drift itself, %/min. */
  readonly drift: number;
  readonly driftSd: number;
  /** Rate of the slowest creep at the end of the stroke, %/min: a drift may hide in it. */
  readonly creepRate: number;
  /** Range of short means about the best fit over the late part, % of span, and the noise such a range has of itself. */
  readonly unrest: number;
  readonly unrestNoise: number;
  /** Standard deviation of single readings about the best fit, late in the stroke. */
  readonly scatter: number;
  /** Variance about the fit over that between neighbours: 1 for white noise, more for slow swings. */
  readonly swing: number;
  /** Variance of means over a second about the fit, beyond what white noise explains. */
  readonly wander: number;
  readonly readings: number;
  /** 3 for honest noise, towards 1 for a square swing that the gauge samples too seldom. */
  readonly kurtosis: number;
  /** Slope over the last 30 s, %/min, and its standard error. */
  readonly lateSlope: number;
  readonly lateSlopeSe: number;
}

/**
 * Learns from a held stroke: constant + main mode (+ tail) (+ creep or drift), all combinations, weighted by marginal
 * likelihood. Times in the series are on the run's clock; `origin` is when the response passed 60 % of the step.
 */
export function analyseSoak(
  series: Series,
  origin: number,
  step: number,
  variance: number,
  final: number,
  resolution: number,
): SoakFindings | null {
  const n = series.length;
  const band = Math.max(0.01 * Math.abs(step), 0.3, 8 * Math.sqrt(variance));
  let first = n;
  while (first > 0 && Math.abs(series.valueAt(first - 1) - final) <= band) first--;
  const ringing = findRinging(series, origin, final, step, Math.sqrt(variance), resolution);
  // The models below know no swing: they look at what follows it.
  if (ringing !== null) first = Math.max(first, Math.min(n - 40, series.since(origin + 6 * ringing.envelope)));
  if (first < 0 || n - first < 12) return null;
  const start = series.at(first);
  const time = new Float64Array(maxBlocks);
  const level = new Float64Array(maxBlocks);
  const weight = new Float64Array(maxBlocks);
  let blocks = 0;
  const span = series.at(n - 1) - start;
  for (let i = first; i < n && blocks < maxBlocks; ) {
    const t0 = series.at(i);
    const width = Math.max(0.02 * (t0 - start), span / 400);
    let w = 0;
    let t = 0;
    let v = 0;
    while (i < n && (w === 0 || series.at(i) <= t0 + width || blocks === maxBlocks - 1)) {
      w++;
      t += series.at(i);
      v += series.valueAt(i);
      i++;
    }
    time[blocks] = t / w;
    level[blocks] = v / w;
    weight[blocks] = w;
    blocks++;
  }
  const end = series.at(n - 1);
  const total = weight.subarray(0, blocks).reduce((a, b) => a + b, 0);
  let mean = 0;
  for (let i = 0; i < blocks; i++) mean += ((weight[i] ?? 0) * (level[i] ?? 0)) / total;
  let yy = 0;
  for (let i = 0; i < blocks; i++) {
    const y = (level[i] ?? 0) - mean;
    level[i] = y;
    yy += (weight[i] ?? 0) * y * y;
  }
  // Basis: main modes are 1 at the start of the window, slow modes are 1 when the response passed 60 %, the line is in minutes.
  const basis = new Float64Array(basisCount * maxBlocks);
  const self = new Float64Array(basisCount * basisCount);
  const ey = new Float64Array(basisCount);
  const sd = new Float64Array(basisCount);
  const centres = new Float64Array(basisCount);
  for (let j = 0; j < basisCount; j++) {
    const at = j * maxBlocks;
    let sum = 0;
    for (let i = 0; i < blocks; i++) {
      const t = time[i] ?? 0;
      const e = basisAt(j, t, start, origin, end);
      basis[at + i] = e;
      sum += (weight[i] ?? 0) * e;
    }
    const centre = sum / total;
    centres[j] = centre;
    let s = 0;
    for (let i = 0; i < blocks; i++) {
      const e = (basis[at + i] ?? 0) - centre;
      basis[at + i] = e;
      s += (weight[i] ?? 0) * e * (level[i] ?? 0);
    }
    ey[j] = s;
    const size = Math.abs(step);
    sd[j] = j === line ? 0.1 : j < modeCount ? 1.5 * band : j < modeCount + creepFrom ? 0.02 * size : 0.0025 * size;
  }
  for (let j = 0; j < basisCount; j++) {
    for (let k = j; k < basisCount; k++) {
      let s = 0;
      for (let i = 0; i < blocks; i++)
        s += (weight[i] ?? 0) * (basis[j * maxBlocks + i] ?? 0) * (basis[k * maxBlocks + i] ?? 0);
      self[j * basisCount + k] = s;
      self[k * basisCount + j] = s;
    }
  }
  const run = (v: number) => mixSoak(self, ey, sd, yy, v);
  let mixed = run(variance);
  const dispersion = mixed.residual / (Math.max(4, blocks - 5) * variance);
  if (dispersion > 1.1) mixed = run(variance * Math.min(dispersion, 400));
  const scale = Math.abs(step) > 0.5 ? 1 / step : 0;
  const share = mixed.mean.subarray(modeCount, line).map((a) => a * scale);
  const shareSd = mixed.sd.subarray(modeCount, line).map((a) => a * Math.abs(scale));
  // Unrest: what is left of 2 s means about the best fit, in the part after the main movement.
  let lo = Number.POSITIVE_INFINITY;
  let hi = Number.NEGATIVE_INFINITY;
  let least = Number.POSITIVE_INFINITY;
  const from = Math.max(start + 0.25 * span, ringing === null ? 0 : Math.min(end - 15, origin + 8 * ringing.envelope));
  for (let i = 0; i < blocks; ) {
    let w = 0;
    let r = 0;
    const t0 = time[i] ?? 0;
    while (i < blocks && (w === 0 || (time[i] ?? 0) < t0 + 2)) {
      let fit = 0;
      for (let m = 0; m < mixed.best.length; m++) {
        fit += (mixed.bestAmplitude[m] ?? 0) * (basis[(mixed.best[m] ?? 0) * maxBlocks + i] ?? 0);
      }
      r += (weight[i] ?? 0) * ((level[i] ?? 0) - fit);
      w += weight[i] ?? 0;
      i++;
    }
    if (t0 < from) continue;
    lo = Math.min(lo, r / w);
    hi = Math.max(hi, r / w);
    least = Math.min(least, w);
  }
  const late = scatterOf(
    series,
    Math.max(from, end - 40),
    (t) => {
      let fit = mean;
      for (let m = 0; m < mixed.best.length; m++) {
        const j = mixed.best[m] ?? 0;
        fit += (mixed.bestAmplitude[m] ?? 0) * (basisAt(j, t, start, origin, end) - (centres[j] ?? 0));
      }
      return fit;
    },
    variance,
  );
  const [lateSlope, lateSlopeSe] = slope(series, end - 30, variance);
  return {
    variance,
    origin,
    final,
    ringing,
    share,
    shareSd,
    tauWeight: mixed.weight.slice(0, modeCount),
    drift: mixed.mean[line] ?? 0,
    driftSd: mixed.sd[line] ?? 0,
    creepRate: slowestCreep(mixed.mean, end - origin),
    unrest: hi > lo ? hi - lo : 0,
    unrestNoise: Number.isFinite(least) ? 4 * Math.sqrt(variance / least) : 0,
    ...late,
    lateSlope,
    lateSlopeSe,
  };
}

function slowestCreep(mean: Float64Array, age: number): number {
  let rate = 0;
  for (let s = creepFrom; s < slowCount; s++) {
    const tau = slowTau[s] ?? 1;
    if (tau >= 50) rate -= ((60 * (mean[modeCount + s] ?? 0)) / tau) * Math.exp(-age / tau);
  }
  return rate;
}

function basisAt(j: number, t: number, start: number, origin: number, end: number): number {
  if (j === line) return (t - end) / 60;
  return j < modeCount
    ? Math.exp(-(t - start) / (modeTau[j] ?? 1))
    : Math.exp(-(t - origin) / (slowTau[j - modeCount] ?? 1));
}

function scatterOf(
  series: Series,
  since: number,
  fit: (t: number) => number,
  white: number,
): { scatter: number; swing: number; kurtosis: number; wander: number; readings: number } {
  const first = series.since(since);
  const n = series.length - first;
  if (n < 12) return { scatter: 0, swing: 1, kurtosis: 3, wander: 0.003 ** 2, readings: n };
  let two = 0;
  let four = 0;
  let step = 0;
  let before = Number.NaN;
  let seconds = 0;
  let spread = 0;
  let sum = 0;
  let count = 0;
  let opened = series.at(first);
  for (let i = first; i < series.length; i++) {
    const r = series.valueAt(i) - fit(series.at(i));
    two += r * r;
    four += r ** 4;
    if (!Number.isNaN(before)) step += (r - before) ** 2;
    before = r;
    if (series.at(i) >= opened + 1 && count > 0) {
      seconds++;
      spread += (sum / count) ** 2 - white / count;
      sum = 0;
      count = 0;
      opened = series.at(i);
    }
    sum += r;
    count++;
  }
  const variance = two / n;
  return {
    scatter: Math.sqrt(variance),
    swing: step > 0 ? variance / (step / (2 * (n - 1))) : 1,
    kurtosis: variance > 0 ? four / n / variance ** 2 : 3,
    wander: seconds > 0 ? Math.max(0, spread / seconds) : 0.003 ** 2,
    readings: n,
  };
}

interface Mixed {
  readonly mean: Float64Array;
  readonly sd: Float64Array;
  readonly weight: Float64Array;
  readonly residual: number;
  readonly best: readonly number[];
  readonly bestAmplitude: readonly number[];
}

/** All combinations of at most one main, one tail and one creep mode or line, with normal priors on the amplitudes. */
function mixSoak(self: Float64Array, ey: Float64Array, sd: Float64Array, yy: number, v: number): Mixed {
  const combos: { log: number; set: number[]; a: number[]; var: number[] }[] = [];
  let bestLog = Number.NEGATIVE_INFINITY;
  let best = 0;
  let residual = yy;
  for (let j = -1; j < modeCount; j++) {
    for (let k = -1; k < creepFrom; k++) {
      if (j >= 0 && k >= 0 && (slowTau[k] ?? 0) < 1.4 * (modeTau[j] ?? 0)) continue;
      for (let c = -1; c <= slowCount - creepFrom; c++) {
        const creep = c < 0 ? -1 : c === slowCount - creepFrom ? line : modeCount + creepFrom + c;
        const set: number[] = [];
        if (j >= 0) set.push(j);
        if (k >= 0) set.push(modeCount + k);
        if (creep >= 0) set.push(creep);
        const logPrior =
          (j < 0 ? -3 : -Math.log(modeCount)) +
          (k < 0 ? Math.log(0.6) : Math.log(0.4 / creepFrom)) +
          (c < 0 ? Math.log(0.4) : creep === line ? Math.log(0.2) : Math.log(0.4 / (slowCount - creepFrom)));
        const fit = ridge(set, self, ey, sd, v);
        const log = logPrior + fit.log;
        if (log > bestLog) {
          bestLog = log;
          best = combos.length;
          let r = yy;
          for (let m = 0; m < set.length; m++) {
            const sm = set[m] ?? 0;
            r -= 2 * (fit.a[m] ?? 0) * (ey[sm] ?? 0);
            for (let l = 0; l < set.length; l++)
              r += (fit.a[m] ?? 0) * (fit.a[l] ?? 0) * (self[sm * basisCount + (set[l] ?? 0)] ?? 0);
          }
          residual = r;
        }
        combos.push({ log, set, a: fit.a, var: fit.var });
      }
    }
  }
  const mean = new Float64Array(basisCount);
  const square = new Float64Array(basisCount);
  const weight = new Float64Array(basisCount);
  let total = 0;
  for (const combo of combos) {
    const w = Math.exp(combo.log - bestLog);
    if (w < 1e-7) continue;
    total += w;
    for (let m = 0; m < combo.set.length; m++) {
      const s = combo.set[m] ?? 0;
      const a = combo.a[m] ?? 0;
      mean[s] = (mean[s] ?? 0) + w * a;
      square[s] = (square[s] ?? 0) + w * (a * a + (combo.var[m] ?? 0));
      weight[s] = (weight[s] ?? 0) + w;
    }
  }
  const out = new Float64Array(basisCount);
  for (let s = 0; s < basisCount; s++) {
    mean[s] = (mean[s] ?? 0) / total;
    weight[s] = (weight[s] ?? 0) / total;
    out[s] = Math.sqrt(Math.max(0, (square[s] ?? 0) / total - (mean[s] ?? 0) ** 2));
  }
  return { mean, sd: out, weight, residual, best: combos[best]?.set ?? [], bestAmplitude: combos[best]?.a ?? [] };
}

/** Ridge regression of up to three modes by Cholesky, priors scaled to unit normal. */
function ridge(
  set: readonly number[],
  self: Float64Array,
  ey: Float64Array,
  sd: Float64Array,
  v: number,
): { log: number; a: number[]; var: number[] } {
  const n = set.length;
  const l = [0, 0, 0, 0, 0, 0, 0, 0, 0];
  const z = [0, 0, 0];
  let log = 0;
  for (let r = 0; r < n; r++) {
    const sr = set[r] ?? 0;
    const dr = sd[sr] ?? 1;
    for (let c = 0; c <= r; c++) {
      const sc = set[c] ?? 0;
      let x = ((self[sr * basisCount + sc] ?? 0) * dr * (sd[sc] ?? 1)) / v + (r === c ? 1 : 0);
      for (let k = 0; k < c; k++) x -= (l[r * 3 + k] ?? 0) * (l[c * 3 + k] ?? 0);
      l[r * 3 + c] = r === c ? Math.sqrt(Math.max(x, 1e-12)) : x / (l[c * 3 + c] ?? 1);
    }
    let b = ((ey[sr] ?? 0) * dr) / v;
    for (let k = 0; k < r; k++) b -= (l[r * 3 + k] ?? 0) * (z[k] ?? 0);
    z[r] = b / (l[r * 3 + r] ?? 1);
    log += 0.5 * (z[r] ?? 0) ** 2 - Math.log(l[r * 3 + r] ?? 1);
  }
  const a = [0, 0, 0].slice(0, n);
  for (let r = n - 1; r >= 0; r--) {
    let x = z[r] ?? 0;
    for (let k = r + 1; k < n; k++) x -= (l[k * 3 + r] ?? 0) * (a[k] ?? 0);
    a[r] = x / (l[r * 3 + r] ?? 1);
  }
  // Diagonal of the inverse: sum of squares of the columns of the inverse factor.
  const variance = a.map((_, i) => {
    const col = [0, 0, 0];
    let sum = 0;
    for (let r = i; r < n; r++) {
      let x = r === i ? 1 : 0;
      for (let k = i; k < r; k++) x -= (l[r * 3 + k] ?? 0) * (col[k] ?? 0);
      col[r] = x / (l[r * 3 + r] ?? 1);
      sum += (col[r] ?? 0) ** 2;
    }
    return sum;
  });
  return {
    log,
    a: a.map((x, i) => x * (sd[set[i] ?? 0] ?? 1)),
    var: variance.map((x, i) => x * (sd[set[i] ?? 0] ?? 1) ** 2),
  };
}
