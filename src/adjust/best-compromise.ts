import type { InterplayOfScrews } from "./interplay.ts";

/** An error that was found, and what is allowed there. Percent of span counts from the lower range value. */
export interface ErrorFound {
  readonly at_percent: number;
  readonly error_kPa: number;
  readonly limit_kPa: number;
}

/** How far each screw can still move its own end, kPa. */
export interface ScrewReach {
  readonly zero_kPa: readonly [least: number, most: number];
  readonly span_kPa: readonly [least: number, most: number];
  readonly interplay: InterplayOfScrews;
}

/** A straight line added to all errors, which is what two screws can do. */
export interface Shift {
  readonly at_0_kPa: number;
  readonly at_100_kPa: number;
}

export interface Compromise {
  readonly shift: Shift;
  /** Greatest error that is left, as a share of what is allowed where it lies. */
  readonly left_share: number;
  readonly left_kPa: number;
  readonly left_at_percent: number;
}

const GOLDEN = (Math.sqrt(5) - 1) / 2;

/** Least value of a convex function of one variable; 70 steps shrink the interval by 2e-15. */
const least = (f: (x: number) => number, from: number, to: number): readonly [x: number, value: number] => {
  let [a, b] = [from, to];
  let [c, d] = [b - GOLDEN * (b - a), a + GOLDEN * (b - a)];
  let [fc, fd] = [f(c), f(d)];
  for (let i = 0; i < 70 && b - a > 1e-12 * (Math.abs(from) + Math.abs(to)); i += 1) {
    if (fc <= fd) {
      [b, d, fd] = [d, c, fc];
      c = b - GOLDEN * (b - a);
      fc = f(c);
    } else {
      [a, c, fc] = [c, d, fd];
      d = a + GOLDEN * (b - a);
      fd = f(d);
    }
  }
  const x = (a + b) / 2;
  return [x, f(x)];
};

const shifted = ({ at_percent, error_kPa }: ErrorFound, { at_0_kPa, at_100_kPa }: Shift): number =>
  error_kPa + at_0_kPa + (at_percent / 100) * (at_100_kPa - at_0_kPa);

const worst = (points: readonly ErrorFound[], shift: Shift): number =>
  points.reduce((most, point) => Math.max(most, Math.abs(shifted(point, shift)) / point.limit_kPa), 0);

const describe = (points: readonly ErrorFound[], shift: Shift): Compromise => {
  const left_share = worst(points, shift);
  const at = points.find((p) => Math.abs(shifted(p, shift)) / p.limit_kPa >= left_share * (1 - 1e-9));
  return {
    shift,
    left_share,
    left_kPa: at === undefined ? 0 : Math.abs(shifted(at, shift)),
    left_at_percent: at?.at_percent ?? 0,
  };
};

/** What is left without turning anything. */
export const asItStands = (points: readonly ErrorFound[]): Compromise =>
  describe(points, { at_0_kPa: 0, at_100_kPa: 0 });

/**
 * The straight shift that makes the greatest error over all points, rising and falling, as small as possible in shares
 * of what is allowed (minimax, Chebyshev). What is left is the part that no screw removes: hysteresis, curve and
 * scatter. With `reach` only shifts that the screws can still make count. The greatest of shifted errors is convex in
 * both screws, so that the search inside a search finds the least.
 */
export const bestCompromise = (points: readonly ErrorFound[], reach?: ScrewReach): Compromise => {
  if (points.length === 0) return describe(points, { at_0_kPa: 0, at_100_kPa: 0 });
  const most = 2 * Math.max(...points.map((p) => Math.abs(p.error_kPa)), ...points.map((p) => p.limit_kPa));
  const zeroRatio = reach?.interplay.zero.ratio ?? 0;
  const spanRatio = reach?.interplay.span.ratio ?? 0;
  const shiftOf = (zero: number, span: number): Shift => ({
    at_0_kPa: zero + spanRatio * span,
    at_100_kPa: zeroRatio * zero + span,
  });
  const [zeroLeast, zeroMost] = reach?.zero_kPa ?? [-most, most];
  const [spanLeast, spanMost] = reach?.span_kPa ?? [-most, most];
  const bySpan = (zero: number) => least((span) => worst(points, shiftOf(zero, span)), spanLeast, spanMost);
  const [zero] = least((z) => bySpan(z)[1], zeroLeast, zeroMost);
  return describe(points, shiftOf(zero, bySpan(zero)[0]));
};

/** Up to this share of the tolerance at a reading there is room for what lies between; the rest is for the guard band. */
const ROOM_FOR_BETWEEN = 0.75;

/**
 * The best shift with the places between the readings counted in, described at the readings, where the unit is judged.
 * Where that would bring a reading near its tolerance, the readings alone count.
 */
export const compromiseOver = (
  points: readonly ErrorFound[],
  between: readonly ErrorFound[],
  reach?: ScrewReach,
): Compromise => {
  const atReadings = bestCompromise(points, reach);
  if (between.length === 0) return atReadings;
  const everywhere = describe(points, bestCompromise([...points, ...between], reach).shift);
  return everywhere.left_share > ROOM_FOR_BETWEEN ? atReadings : everywhere;
};
