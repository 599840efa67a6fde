import { mean } from "./statistics.ts";

/** A stationary series in which each value hangs on those before it. */
export interface Autoregression {
  readonly order: number;
  readonly phi: readonly number[];
  /** Standard uncertainties of phi, from the curvature of the likelihood. */
  readonly u_phi: readonly number[];
  /** Standard deviation of what is new in each value. */
  readonly sigma: number;
  /** Level of the series, with its standard uncertainty: what the mean of so many correlated values is worth. */
  readonly level: number;
  readonly u_level: number;
}

/** Solves a small system by elimination with pivots; null when it has no single answer. */
const solved = (
  matrix: readonly (readonly number[])[],
  right: readonly number[],
): { readonly x: readonly number[]; readonly determinant: number } | null => {
  const n = right.length;
  const rows = matrix.map((row, i) => [...row, right[i] ?? 0]);
  let determinant = 1;
  for (let k = 0; k < n; k += 1) {
    let best = k;
    for (let i = k + 1; i < n; i += 1) if (Math.abs(rows[i]?.[k] ?? 0) > Math.abs(rows[best]?.[k] ?? 0)) best = i;
    const [pivot, other] = [rows[best], rows[k]];
    if (pivot === undefined || other === undefined || !pivot[k]) return null;
    rows[best] = other;
    rows[k] = pivot;
    determinant *= (best === k ? 1 : -1) * (pivot[k] ?? 0);
    for (let i = k + 1; i < n; i += 1) {
      const row = rows[i] ?? [];
      const factor = (row[k] ?? 0) / (pivot[k] ?? 1);
      for (let j = k; j <= n; j += 1) row[j] = (row[j] ?? 0) - factor * (pivot[j] ?? 0);
    }
  }
  const x = new Array<number>(n).fill(0);
  for (let i = n - 1; i >= 0; i -= 1) {
    const row = rows[i] ?? [];
    let rest = row[n] ?? 0;
    for (let j = i + 1; j < n; j += 1) rest -= (row[j] ?? 0) * (x[j] ?? 0);
    x[i] = rest / (row[i] ?? 1);
  }
  return { x, determinant };
};

/** Covariances of the stationary series at lags 0 to p - 1, for sigma = 1 (Yule-Walker equations, read backwards). */
const covariances = (phi: readonly number[]): readonly number[] | null => {
  const p = phi.length;
  const matrix = Array.from({ length: p + 1 }, (_, k) => {
    const row = new Array<number>(p + 1).fill(0);
    row[k] = 1;
    for (const [j, f] of phi.entries()) {
      const lag = Math.abs(k - j - 1);
      row[lag] = (row[lag] ?? 0) - f;
    }
    return row;
  });
  const answer = solved(matrix, [1, ...new Array<number>(p).fill(0)]);
  return answer === null || !((answer.x[0] ?? 0) > 0) ? null : answer.x;
};

/** Stationary: every partial coefficient lies inside +-1 (Levinson's recursion, backwards). */
const isStationary = (phi: readonly number[]): boolean => {
  let a = [...phi];
  while (a.length > 0) {
    const k = a.at(-1) ?? 0;
    if (!(Math.abs(k) < 1)) return false;
    const rest = a.slice(0, -1);
    a = rest.map((f, i) => (f + k * (rest[rest.length - 1 - i] ?? 0)) / (1 - k * k));
  }
  return true;
};

interface Fit {
  readonly cost: number;
  readonly level: number;
  readonly variance: number;
  readonly weight: number;
}

/** Exact normal likelihood of the whole series, level and sigma at their best for given phi. Smaller cost is likelier. */
const fitFor = (y: readonly number[], phi: readonly number[]): Fit | null => {
  const p = phi.length;
  const gamma = isStationary(phi) ? covariances(phi) : null;
  if (gamma === null) return null;
  const V = Array.from({ length: p }, (_, i) => Array.from({ length: p }, (__, j) => gamma[Math.abs(i - j)] ?? 0));
  const first = y.slice(0, p);
  const ofOnes = solved(V, new Array<number>(p).fill(1));
  const ofFirst = solved(V, first);
  if (ofOnes === null || ofFirst === null || !(ofOnes.determinant > 0)) return null;
  const sum = (a: readonly number[], b?: readonly number[]): number => a.reduce((s, v, i) => s + v * (b?.[i] ?? 1), 0);
  const share = 1 - sum(phi);
  const news = y.slice(p).map((v, t) => v - phi.reduce((s, f, j) => s + f * (y[t + p - 1 - j] ?? 0), 0));
  const weight = sum(ofOnes.x) + news.length * share ** 2;
  const level = (sum(ofFirst.x) + share * sum(news)) / weight;
  const centred = first.map((v) => v - level);
  const start = solved(V, centred);
  if (start === null) return null;
  const squares = sum(start.x, centred) + news.reduce((s, v) => s + (v - share * level) ** 2, 0);
  const variance = squares / y.length;
  return { cost: 0.5 * (y.length * Math.log(variance) + Math.log(ofOnes.determinant)), level, variance, weight };
};

/** Curvature and slope of the cost by differences. */
const shapeAt = (cost: (phi: readonly number[]) => number, phi: readonly number[]) => {
  const h = 1e-4;
  const moved = (steps: readonly (readonly [number, number])[]): number => {
    const at = [...phi];
    for (const [i, by] of steps) at[i] = (at[i] ?? 0) + by;
    return cost(at);
  };
  const slope = phi.map((_, i) => (moved([[i, h]]) - moved([[i, -h]])) / (2 * h));
  const curvature = phi.map((_, i) =>
    phi.map(
      (__, j) =>
        (moved([
          [i, h],
          [j, h],
        ]) -
          moved([
            [i, h],
            [j, -h],
          ]) -
          moved([
            [i, -h],
            [j, h],
          ]) +
          moved([
            [i, -h],
            [j, -h],
          ])) /
        (4 * h * h),
    ),
  );
  return { slope, curvature };
};

/**
 * Autoregression of a given order by exact maximum likelihood, Newton steps from the Yule-Walker estimate. null when the
 * series is too short or does not stand. Source: JCGM GUM-6:2020, 11.7.3 and 11.9.8.
 */
export const autoregression = (values: readonly number[], order: number): Autoregression | null => {
  const n = values.length;
  if (!Number.isInteger(order) || order < 1 || n < 4 * order + 4) return null;
  const centre = mean(values);
  const y = values.map((v) => v - centre);
  const lag = (k: number): number => y.slice(k).reduce((s, v, i) => s + v * (y[i] ?? 0), 0);
  const below = lag(0);
  if (below === 0) return null;
  const r = Array.from({ length: order + 1 }, (_, k) => lag(k) / below);
  const walker = solved(
    Array.from({ length: order }, (_, i) => Array.from({ length: order }, (__, j) => r[Math.abs(i - j)] ?? 0)),
    r.slice(1),
  );
  if (walker === null) return null;
  const cost = (phi: readonly number[]): number => fitFor(y, phi)?.cost ?? Number.POSITIVE_INFINITY;
  let phi = walker.x;
  for (let round = 0; round < 50; round += 1) {
    const { slope, curvature } = shapeAt(cost, phi);
    const step = solved(curvature, slope);
    if (step === null || !step.x.every(Number.isFinite)) return null;
    let share = 1;
    const next = (): readonly number[] => phi.map((f, i) => f - share * (step.x[i] ?? 0));
    while (share > 1e-6 && !(cost(next()) <= cost(phi))) share /= 2;
    const moved = step.x.reduce((most, s) => Math.max(most, Math.abs(share * s)), 0);
    if (share > 1e-6) phi = next();
    if (moved < 1e-9 || share <= 1e-6) break;
  }
  const fit = fitFor(y, phi);
  const { curvature } = shapeAt(cost, phi);
  if (fit === null) return null;
  const u_phi = phi.map((_, i) =>
    Math.sqrt(
      solved(
        curvature,
        phi.map((__, j) => (i === j ? 1 : 0)),
      )?.x[i] ?? Number.NaN,
    ),
  );
  const { variance, weight, level } = fit;
  return {
    order,
    phi,
    u_phi,
    sigma: Math.sqrt(variance),
    level: centre + level,
    u_level: Math.sqrt(variance / weight),
  };
};
