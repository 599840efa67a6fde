import type { Series } from "./series.ts";

/** A pause longer than this between two turns is no swing that a reading could be taken in by, s. */
const longestHalf_s = 3;

const middleOf = (a: number, b: number, c: number): number => Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));

/**
 * Half period of the swing of a point's response: from its last turn to the furthest it went after it, s; 0 where
 * it never turned by more than `visible`. A plain approach does not turn, whatever its lags. Looks at
 * medians of three, for a single odd reading is no turn.
 */
export function halfSwing(series: Series, visible: number): number {
  if (series.length < 3) return 0;
  let side = 0;
  let high = middleOf(series.valueAt(0), series.valueAt(1), series.valueAt(2));
  let low = high;
  let highAt = series.at(0);
  let lowAt = highAt;
  let turned = 0;
  let turnAt = 0;
  let extremeAt = highAt;
  for (let i = 3; i < series.length; i++) {
    const v = middleOf(series.valueAt(i - 2), series.valueAt(i - 1), series.valueAt(i));
    const t = series.at(i);
    if (v > high) {
      high = v;
      highAt = t;
    }
    if (v < low) {
      low = v;
      lowAt = t;
    }
    if (side >= 0 && high - v > visible) {
      if (side > 0) turned++;
      turnAt = highAt;
      side = -1;
      low = v;
      lowAt = t;
    } else if (side <= 0 && v - low > visible) {
      if (side < 0) turned++;
      turnAt = lowAt;
      side = 1;
      high = v;
      highAt = t;
    }
    extremeAt = side > 0 ? highAt : lowAt;
  }
  return turned === 0 ? 0 : Math.min(longestHalf_s, extremeAt - turnAt);
}
