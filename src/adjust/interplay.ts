import type { AdjustmentSeen, RangeEnd } from "../vocabulary/adjustment.ts";
import type { Screw } from "../vocabulary/reading.ts";

/** At which end each screw is turned: the zero screw at the low end, the span screw at the high end. */
export const HOME: Readonly<Record<Screw, RangeEnd>> = { zero: "lower", span: "upper" };

export const other = (end: RangeEnd): RangeEnd => (end === "lower" ? "upper" : "lower");

/** How much of what a screw does at its own end it does at the other one. */
export interface Interplay {
  readonly ratio: number;
  /** Standard uncertainty of the ratio; infinite when nothing was seen. */
  readonly u: number;
}

/** Before anything was seen: a zero screw moves both ends alike, a span screw leaves the low end alone. */
const FIRST_GUESS: Readonly<Record<Screw, number>> = { zero: 1, span: 0 };

/**
 * Outputs before and after each turn at the end where nobody turned. A turn counts only when the other end was read
 * after the turn before it and again before the next one, so that one screw alone explains the change.
 */
const pairs = (seen: readonly AdjustmentSeen[], screw: Screw): readonly Pair[] => {
  const found: Pair[] = [];
  const fresh: Record<RangeEnd, Known | null> = { lower: null, upper: null };
  let open: Open | null = null;
  for (const event of seen) {
    if (event.kind === "turn") {
      const far = other(event.at);
      const before = fresh[far];
      const moved = event.after_kPa - event.before_kPa;
      open =
        event.screw === screw && before !== null
          ? { moved, lowest: Math.min(event.before_kPa, event.after_kPa), u: Math.SQRT2 * event.u_kPa, before, far }
          : null;
      fresh[event.at] = { value: event.after_kPa, u: event.u_kPa };
      fresh[far] = null;
      continue;
    }
    const known = { value: event.output_kPa, u: event.u_kPa };
    if (open !== null && event.at === open.far) {
      found.push({
        near: open.moved,
        far: known.value - open.before.value,
        u: Math.hypot(known.u, open.before.u, open.u),
        lowest: Math.min(open.lowest, open.before.value, known.value),
      });
      open = null;
    }
    fresh[event.at] = known;
  }
  return found;
};

interface Known {
  readonly value: number;
  readonly u: number;
}

/** A turn whose effect at the far end was not read yet. */
interface Open {
  readonly moved: number;
  readonly lowest: number;
  readonly u: number;
  readonly before: Known;
  readonly far: RangeEnd;
}

interface Pair {
  readonly near: number;
  readonly far: number;
  readonly u: number;
  /** Lowest output that took part. */
  readonly lowest: number;
}

/**
 * The ratio by least squares through zero over all turns seen, so that large turns teach most. Turns that began or
 * ended below `visible_kPa` teach nothing: there the output no longer shows what the screw did.
 */
export const learnInterplay = (
  seen: readonly AdjustmentSeen[],
  screw: Screw,
  noise_kPa: number,
  visible_kPa: number,
): Interplay => {
  const told = pairs(seen, screw).filter(
    (p) => p.lowest >= visible_kPa && Math.abs(p.near) > 3 * Math.max(p.u, noise_kPa),
  );
  const weight = told.reduce((sum, p) => sum + p.near ** 2, 0);
  if (weight === 0) return { ratio: FIRST_GUESS[screw], u: Number.POSITIVE_INFINITY };
  const ratio = told.reduce((sum, p) => sum + p.near * p.far, 0) / weight;
  const worst = Math.max(noise_kPa, ...told.map((p) => p.u));
  return { ratio, u: worst / Math.sqrt(weight) };
};
