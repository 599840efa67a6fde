import { fittedLine } from "../analysis/examination/line-fit.ts";
import type { Direction } from "../vocabulary/reading.ts";
import type { ErrorFound } from "./best-compromise.ts";

export interface BranchError extends ErrorFound {
  readonly direction: Direction;
}

/**
 * After the way turns, a loop opens: at once where it is play, over some per cent of the span where it is friction.
 * Readings do not tell which; this scale, % of span, costs least whichever it is; common practice, no source.
 */
const OPENS_OVER = 1;
/** Where readings stand this close together, % of span, nothing is drawn between them. */
const CLOSE = 2.5;
/** Highest power of the curve: a bow and its lopsidedness, which is what bellows and flappers make. */
const MOST_POWER = 3;
/** Places at which the branches are drawn, % of span apart. */
const STEP = 1;

/** Share of the loop that is open this far after the way turned. */
const opened = (way: number): number => -Math.expm1(-way / OPENS_OVER);

const mean = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length;

/**
 * Errors where nobody has read anything: a curve of low power through the middle of the loop, and both branches half a
 * loop away from it. At the ends the way turns, so that the lowest point belongs to the falling branch and the highest to
 * the rising one. Empty where there are too few places to tell a curve from noise.
 */
export const errorsBetween = (
  points: readonly BranchError[],
  limitAt: (at_percent: number) => number,
): readonly ErrorFound[] => {
  const places = [...new Set(points.map((p) => p.at_percent))].toSorted((a, b) => a - b);
  const [lowest, highest] = [places[0], places.at(-1)];
  if (lowest === undefined || highest === undefined || places.length < 4) return [];
  const at = (place: number, direction: Direction): number | null => {
    const here = points.filter((p) => p.at_percent === place && p.direction === direction);
    return here.length === 0 ? null : mean(here.map((p) => p.error_kPa));
  };
  const inner = places.slice(1, -1).flatMap((place) => {
    const [up, down] = [at(place, "rising"), at(place, "falling")];
    return up === null || down === null ? [] : [{ place, middle: (up + down) / 2, width: down - up }];
  });
  const half = inner.length === 0 ? 0 : mean(inner.map((p) => p.width)) / 2;
  const single = inner.length === 0;
  const ends = [
    { place: lowest, value: at(lowest, "falling") ?? at(lowest, "rising"), side: single ? 0 : -half },
    { place: highest, value: at(highest, "rising") ?? at(highest, "falling"), side: single ? 0 : half },
  ].flatMap(({ place, value, side }) => (value === null ? [] : [{ place, middle: value + side }]));
  const alone = single
    ? places.slice(1, -1).map((place) => ({ place, middle: at(place, "rising") ?? at(place, "falling") ?? 0 }))
    : [];
  const known = [...inner, ...ends, ...alone];
  const power = Math.min(MOST_POWER, known.length - 2);
  const powers = (place: number): readonly number[] =>
    Array.from({ length: power + 1 }, (_, k) => ((place - 50) / 50) ** k);
  const curve = fittedLine(known.map(({ place, middle }) => ({ y: middle, x: powers(place) })));
  if (curve === null) return [];
  const middleAt = (place: number): number => powers(place).reduce((sum, x, k) => sum + x * (curve.values[k] ?? 0), 0);
  const drawn: ErrorFound[] = [];
  for (let place = lowest; place <= highest + 1e-9; place += STEP) {
    const [limit_kPa, middle] = [limitAt(place), middleAt(place)];
    const [before, after] = [places.findLast((p) => p <= place) ?? lowest, places.find((p) => p > place) ?? highest];
    if (!(limit_kPa > 0) || after - before <= CLOSE) continue;
    const [risen, fallen] = [opened(place - lowest), opened(highest - place)];
    drawn.push({ at_percent: place, error_kPa: middle + half * (1 - 2 * risen), limit_kPa });
    drawn.push({ at_percent: place, error_kPa: middle - half * (1 - 2 * fallen), limit_kPa });
  }
  return drawn;
};
