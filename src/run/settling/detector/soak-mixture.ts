import { creepFrom, modeCount, modeTau, slowCount, slowTau } from "./modes.ts";

/** Count of basis functions of a stroke: main modes, slow modes, a straight line. */
export const basisCount = modeCount + slowCount + 1;
export const line = modeCount + slowCount;

/** Sums over the data of a stroke: products of the basis functions with each other and with the data, prior deviations. */
export interface SoakBasis {
  /** basisCount x basisCount, row by row. */
  readonly self: Float64Array;
  readonly ey: Float64Array;
  readonly sd: Float64Array;
  readonly yy: number;
}

export interface Mixed {
  readonly mean: Float64Array;
  readonly sd: Float64Array;
  readonly weight: Float64Array;
  readonly residual: number;
  readonly best: readonly number[];
  readonly bestAmplitude: readonly number[];
}

/** All combinations of at most one main, one tail and one creep mode or line, with normal priors on the amplitudes. */
export function mixSoak(basis: SoakBasis, v: number): Mixed {
  const { self, ey, sd, yy } = basis;
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
