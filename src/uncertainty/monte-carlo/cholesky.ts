/**
 * Lower factor L with L L^T = matrix for a correlation matrix; null when the matrix is not positive semi-definite.
 * A correlation of exactly +-1 is allowed: its pivot is zero and its column stays empty.
 */
export const choleskyFactor = (matrix: readonly (readonly number[])[]): readonly (readonly number[])[] | null => {
  const n = matrix.length;
  const factor = matrix.map(() => new Array<number>(n).fill(0));
  const at = (i: number, j: number): number => factor[i]?.[j] ?? 0;
  const TINY = 1e-12 * n;
  for (let j = 0; j < n; j += 1) {
    for (let i = j; i < n; i += 1) {
      let rest = matrix[i]?.[j] ?? 0;
      for (let k = 0; k < j; k += 1) rest -= at(i, k) * at(j, k);
      const row = factor[i];
      if (row === undefined) continue;
      if (i === j) {
        if (rest < -TINY) return null;
        row[j] = rest <= TINY ? 0 : Math.sqrt(rest);
      } else if (at(j, j) > 0) {
        row[j] = rest / at(j, j);
      } else if (Math.abs(rest) > Math.sqrt(TINY)) {
        return null;
      }
    }
  }
  return factor;
};
