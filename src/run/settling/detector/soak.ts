import { creepFrom, modeCount, modeTau, slowCount, slowTau } from "./modes.ts";
import { findRinging } from "./ringing.ts";
import type { Series } from "./series.ts";
import { basisCount, line, mixSoak, type SoakBasis } from "./soak-mixture.ts";
import { lineThrough, type Residuals, residualsOf } from "./soak-residuals.ts";
import type { Ringing } from "./unit-memory.ts";

const maxBlocks = 160;

export interface SoakFindings extends Residuals {
  readonly variance: number;
  /** The last 20 s about their mean: has a swing died out? */
  readonly last: Residuals;
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
  const run = (v: number) => mixSoak({ self, ey, sd, yy } satisfies SoakBasis, v);
  let mixed = run(variance);
  const dispersion = mixed.residual / (Math.max(4, blocks - 5) * variance);
  if (dispersion > 1.1) mixed = run(variance * Math.min(dispersion, 400));
  const scale = Math.abs(step) > 0.5 ? 1 / step : 0;
  const share = mixed.mean.subarray(modeCount, line).map((a) => a * scale);
  const shareSd = mixed.sd.subarray(modeCount, line).map((a) => a * Math.abs(scale));
  const from = Math.max(start + 0.25 * span, ringing === null ? 0 : Math.min(end - 15, origin + 8 * ringing.envelope));
  const lateFrom = Math.max(from, end - 40);
  const byFit = residualsOf(series, lateFrom, variance, (t) => {
    let fit = mean;
    for (let m = 0; m < mixed.best.length; m++) {
      const j = mixed.best[m] ?? 0;
      fit += (mixed.bestAmplitude[m] ?? 0) * (basisAt(j, t, start, origin, end) - (centres[j] ?? 0));
    }
    return fit;
  });
  // A fit dragged off by the early part must not pass for unrest of the late one: a plain line may do better there.
  const byLine = residualsOf(series, lateFrom, variance, lineThrough(series, lateFrom, variance));
  const late = byLine.scatter < byFit.scatter ? byLine : byFit;
  const lastFrom = Math.max(lateFrom, end - 20);
  const lastCount = Math.max(1, n - series.since(lastFrom));
  const lastMean = series.trailingMean(lastCount);
  const last = residualsOf(series, lastFrom, variance, () => lastMean);
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
    ...late,
    last,
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
