/**
 * Least squares of a model that is not linear: Levenberg's damped Gauss-Newton steps with derivatives by differences.
 * For smooth models of few parameters of like size (logarithms of time constants, shares).
 */
export interface Fitted {
  readonly parameters: readonly number[];
  /** Sum of squared residuals. */
  readonly cost: number;
}

const costOf = (residuals: readonly number[]): number => residuals.reduce((sum, r) => sum + r * r, 0);

/** Solves A x = b by elimination with pivoting; null when A is singular. Small systems only. */
const solve = (a: readonly (readonly number[])[], b: readonly number[]): readonly number[] | null => {
  const n = b.length;
  const m = a.map((row, i) => [...row, b[i] ?? 0]);
  for (let c = 0; c < n; c += 1) {
    let pivot = c;
    for (let r = c + 1; r < n; r += 1) if (Math.abs(m[r]?.[c] ?? 0) > Math.abs(m[pivot]?.[c] ?? 0)) pivot = r;
    const [top, swap] = [m[pivot], m[c]];
    if (top === undefined || swap === undefined || Math.abs(top[c] ?? 0) < 1e-300) return null;
    [m[c], m[pivot]] = [top, swap];
    for (let r = 0; r < n; r += 1) {
      const row = m[r];
      if (r === c || row === undefined) continue;
      const factor = (row[c] ?? 0) / (top[c] ?? 1);
      for (let k = c; k <= n; k += 1) row[k] = (row[k] ?? 0) - factor * (top[k] ?? 0);
    }
  }
  return m.map((row, i) => (row[n] ?? 0) / (row[i] ?? 1));
};

export const fitModel = (
  residuals: (parameters: readonly number[]) => readonly number[],
  start: readonly number[],
  steps = 40,
): Fitted => {
  let parameters = start;
  let here = residuals(parameters);
  let cost = costOf(here);
  let damping = 1e-3;
  for (let i = 0; i < steps; i += 1) {
    const columns = parameters.map((value, j) => {
      const h = 1e-5 * Math.max(1, Math.abs(value));
      const there = residuals(parameters.map((v, k) => (k === j ? v + h : v)));
      return there.map((r, k) => (r - (here[k] ?? 0)) / h);
    });
    const normal = columns.map((a) => columns.map((b) => a.reduce((sum, v, k) => sum + v * (b[k] ?? 0), 0)));
    const slope = columns.map((a) => -a.reduce((sum, v, k) => sum + v * (here[k] ?? 0), 0));
    let improved = false;
    for (let tries = 0; tries < 8 && !improved; tries += 1) {
      const damped = normal.map((row, j) => row.map((v, k) => (j === k ? v * (1 + damping) + 1e-12 : v)));
      const move = solve(damped, slope);
      const next = move === null ? parameters : parameters.map((v, k) => v + Math.max(-1, Math.min(1, move[k] ?? 0)));
      const there = residuals(next);
      const value = costOf(there);
      if (Number.isFinite(value) && value < cost) {
        improved = true;
        damping = Math.max(1e-9, damping / 5);
        const gain = (cost - value) / cost;
        [parameters, here, cost] = [next, there, value];
        if (gain < 1e-9) return { parameters, cost };
      } else damping *= 6;
    }
    if (!improved) break;
  }
  return { parameters, cost };
};
