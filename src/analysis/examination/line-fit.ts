/** Linear least squares over a few columns, by the normal equations of centred, scaled columns. */
export interface LinearFit {
  readonly values: readonly number[];
  /** Standard uncertainty of each value for readings of unit noise. */
  readonly unit_u: readonly number[];
  readonly cost: number;
}

interface Row {
  readonly y: number;
  readonly x: readonly number[];
}

/** Inverse by Gauss and Jordan; null when singular. */
const inverse = (a: readonly (readonly number[])[]): readonly (readonly number[])[] | null => {
  const n = a.length;
  const m = a.map((row, i) => [...row, ...row.map((_, j) => (i === j ? 1 : 0))]);
  for (let c = 0; c < n; c += 1) {
    let pivot = c;
    for (let r = c + 1; r < n; r += 1) if (Math.abs(m[r]?.[c] ?? 0) > Math.abs(m[pivot]?.[c] ?? 0)) pivot = r;
    const [top, swap] = [m[pivot], m[c]];
    if (top === undefined || swap === undefined || Math.abs(top[c] ?? 0) < 1e-12) return null;
    [m[c], m[pivot]] = [top, swap];
    const by = top[c] ?? 1;
    for (let k = 0; k < 2 * n; k += 1) top[k] = (top[k] ?? 0) / by;
    m.forEach((row, r) => {
      if (r === c) return;
      const factor = row[c] ?? 0;
      for (let k = 0; k < 2 * n; k += 1) row[k] = (row[k] ?? 0) - factor * (top[k] ?? 0);
    });
  }
  return m.map((row) => row.slice(n));
};

export const fittedLine = (rows: readonly Row[]): LinearFit | null => {
  const width = rows[0]?.x.length ?? 0;
  if (rows.length < width || width === 0) return null;
  const scales = Array.from({ length: width }, (_, j) => Math.max(...rows.map((r) => Math.abs(r.x[j] ?? 0)), 1e-300));
  const scaled = rows.map((r) => r.x.map((v, j) => v / (scales[j] ?? 1)));
  // Against a common offset, so that small changes of a large pressure keep their digits.
  const offset = rows[0]?.y ?? 0;
  const y = rows.map((r) => r.y - offset);
  const normal = scales.map((_, j) =>
    scales.map((__, k) => scaled.reduce((sum, x) => sum + (x[j] ?? 0) * (x[k] ?? 0), 0)),
  );
  const right = scales.map((_, j) => scaled.reduce((sum, x, i) => sum + (x[j] ?? 0) * (y[i] ?? 0), 0));
  const inverted = inverse(normal);
  if (inverted === null) return null;
  const solution = inverted.map((row) => row.reduce((sum, v, k) => sum + v * (right[k] ?? 0), 0));
  const cost = scaled.reduce(
    (sum, x, i) => sum + (x.reduce((s, v, j) => s + v * (solution[j] ?? 0), 0) - (y[i] ?? 0)) ** 2,
    0,
  );
  return {
    values: solution.map((v, j) => v / (scales[j] ?? 1) + (j === 0 ? offset : 0)),
    unit_u: inverted.map((row, j) => Math.sqrt(Math.max(0, row[j] ?? 0)) / (scales[j] ?? 1)),
    cost,
  };
};
