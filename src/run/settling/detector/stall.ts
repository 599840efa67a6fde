import type { Series } from "./series.ts";

export interface Stall {
  /** When the response first stood nearly still, and when it had done moving again; run's clock, s. */
  readonly from: number;
  readonly to: number;
  /** How far it moved after having stood, % of span. */
  readonly moved: number;
}

const maxBins = 400;
const means = new Float64Array(maxBins);
const starts = new Float64Array(maxBins);

/**
 * Looks for a response that stood and then moved faster again: a valve that sticks short and slips home, or one that hunts
 * for a while. An ordinary approach, of whatever lags, only ever slows down. Looks at means over `width` seconds.
 */
export function findStall(series: Series, since: number, width: number, limit: number, variance: number): Stall | null {
  let bins = 0;
  let fewest = Number.POSITIVE_INFINITY;
  for (let i = series.since(since); i < series.length && bins < maxBins; ) {
    const t0 = series.at(i);
    let sum = 0;
    let n = 0;
    while (i < series.length && series.at(i) < t0 + width) {
      sum += series.valueAt(i);
      n++;
      i++;
    }
    if (i >= series.length) break;
    means[bins] = sum / n;
    starts[bins] = t0;
    fewest = Math.min(fewest, n);
    bins++;
  }
  if (bins < 6) return null;
  const noise = Math.sqrt((2 * variance) / fewest);
  let calm = Number.POSITIVE_INFINITY;
  let calmAt = 0;
  let stalledAt = -1;
  let movedUntil = -1;
  let moved = 0;
  for (let k = 1; k + 1 < bins; k++) {
    const before = Math.abs((means[k] ?? 0) - (means[k - 1] ?? 0));
    const next = Math.abs((means[k + 1] ?? 0) - (means[k] ?? 0));
    const pace = Math.max(before, next);
    if (pace < calm) {
      calm = pace;
      calmAt = k - 1;
    }
    if (next < 2.5 * calm + 5 * noise + 0.2 * limit) continue;
    const way = Math.abs((means[Math.min(k + 2, bins - 1)] ?? 0) - (means[calmAt] ?? 0));
    if (way < 0.6 * limit + 3 * noise) continue;
    if (stalledAt < 0) stalledAt = calmAt;
    movedUntil = Math.min(k + 2, bins - 1);
    moved = Math.max(moved, way);
  }
  if (stalledAt < 0) return null;
  return { from: starts[stalledAt] ?? 0, to: starts[movedUntil] ?? 0, moved };
}
