/** A reading in the plane of a characteristic: x the input (or ideal output), y the output (or its error). */
export interface PlanePoint {
  readonly x: number;
  readonly y: number;
}

export interface FittedLine {
  readonly slope: number;
  readonly intercept: number;
  /** Largest deviation of a point from the line, in y, and the first x (from the left) at which it occurs. */
  readonly max_deviation: number;
  readonly at_x: number;
}

/** Deviations closer to each other than this share are equal, and rounding does not choose between their places. */
const EQUAL_SHARE = 1e-9;

/** The line with its largest deviation over the points. */
export const lineOver = (points: readonly PlanePoint[], slope: number, intercept: number): FittedLine => {
  const deviation = ({ x, y }: PlanePoint): number => Math.abs(y - (intercept + slope * x));
  let largest = 0;
  for (const point of points) largest = Math.max(largest, deviation(point));
  let at = Number.POSITIVE_INFINITY;
  for (const point of points) {
    if (point.x < at && deviation(point) >= largest * (1 - EQUAL_SHARE)) at = point.x;
  }
  return { slope, intercept, max_deviation: largest, at_x: at };
};

/**
 * The straight line whose largest deviation is as small as any line's (minimax, Chebyshev), exactly: it lies halfway
 * between an edge of the convex hull and the parallel through the vertex opposite, so that only hull edges come into
 * question. Sorting is the slowest step, n log n. null without two different x.
 */
export const minimaxLine = (points: readonly PlanePoint[]): FittedLine | null => {
  const slope = minimaxSlope(points);
  if (slope === null) return null;
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const { x, y } of points) {
    const rest = y - slope * x;
    if (rest < low) low = rest;
    if (rest > high) high = rest;
  }
  return lineOver(points, slope, low + (high - low) / 2);
};

/**
 * The line through `pin` whose largest deviation is as small as any such line's, exactly. Mirroring the points at the
 * pin makes the best free line pass through it, so the free search answers this one too.
 */
export const minimaxLineThrough = (pin: PlanePoint, points: readonly PlanePoint[]): FittedLine | null => {
  const mirrored: PlanePoint[] = [];
  for (const { x, y } of points) {
    const dx = x - pin.x;
    const dy = y - pin.y;
    mirrored.push({ x: dx, y: dy }, { x: -dx, y: -dy });
  }
  const slope = minimaxSlope(mirrored);
  return slope === null ? null : lineOver(points, slope, pin.y - slope * pin.x);
};

/** The line through two points. null when they stand above each other. */
export const lineThrough = (
  a: PlanePoint,
  b: PlanePoint,
): { readonly slope: number; readonly intercept: number } | null => {
  if (a.x === b.x) return null;
  const slope = (b.y - a.y) / (b.x - a.x);
  return { slope, intercept: a.y - slope * a.x };
};

const minimaxSlope = (points: readonly PlanePoint[]): number | null => {
  const sorted = points.toSorted((a, b) => a.x - b.x || a.y - b.y);
  const upper = hull(sorted, 1);
  const lower = hull(sorted, -1);
  // At the steepest falling slope the line touches the upper hull at its right end and the lower hull at its left
  // end. As the slope grows the contacts walk towards each other; the width is least where they pass.
  let u = upper.length - 1;
  let l = 0;
  let slope: number | null = null;
  for (;;) {
    const right = upper[u];
    const left = lower[l];
    if (right === undefined || left === undefined || left.x >= right.x) return slope;
    const upperSlope = slopeBetween(upper[u - 1], right);
    const lowerSlope = slopeBetween(left, lower[l + 1]);
    if (upperSlope <= lowerSlope) {
      slope = upperSlope;
      u -= 1;
    } else {
      slope = lowerSlope;
      l += 1;
    }
  }
};

const slopeBetween = (a: PlanePoint | undefined, b: PlanePoint | undefined): number =>
  a === undefined || b === undefined ? Number.POSITIVE_INFINITY : (b.y - a.y) / (b.x - a.x);

/** Upper (side 1) or lower (side -1) convex hull, left to right, of points sorted by x; one vertex an x. */
const hull = (sorted: readonly PlanePoint[], side: 1 | -1): readonly PlanePoint[] => {
  const chain: PlanePoint[] = [];
  for (const point of sorted) {
    const end = chain.at(-1);
    if (end !== undefined && end.x === point.x) {
      if (side * (point.y - end.y) <= 0) continue;
      chain.pop();
    }
    for (;;) {
      const b = chain.at(-1);
      const a = chain.at(-2);
      if (a === undefined || b === undefined) break;
      const turn = (b.x - a.x) * (point.y - a.y) - (b.y - a.y) * (point.x - a.x);
      if (side * turn < 0) break;
      chain.pop();
    }
    chain.push(point);
  }
  return chain;
};
