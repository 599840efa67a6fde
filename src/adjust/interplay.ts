import type { RangeEnd } from "../vocabulary/adjustment.ts";
import type { Screw } from "../vocabulary/reading.ts";

/** At which end each screw is turned: the zero screw at the low end, the span screw at the high end. */
export const HOME: Readonly<Record<Screw, RangeEnd>> = { zero: "lower", span: "upper" };

export const otherEnd = (end: RangeEnd): RangeEnd => (end === "lower" ? "upper" : "lower");
export const otherScrew = (screw: Screw): Screw => (screw === "zero" ? "span" : "zero");

/** How much of what a screw does at its own end it does at the other one. */
export interface Interplay {
  readonly ratio: number;
  /** Standard uncertainty of the ratio. */
  readonly u: number;
}

export type InterplayOfScrews = Readonly<Record<Screw, Interplay>>;

/**
 * Before anything was seen: a zero screw moves both ends about alike; a span screw turns about a pivot that lies near
 * the low end or well below it. Wide on purpose, so that the first turn seen outweighs it; common practice, no source.
 */
export const UNKNOWN_INTERPLAY: InterplayOfScrews = {
  zero: { ratio: 1, u: 0.2 },
  span: { ratio: 0.25, u: 0.35 },
};

/** A ratio this well known needs no turn that only teaches. */
export const isKnown = (interplay: Interplay): boolean => interplay.u < 0.05;

/**
 * What one more turn teaches: `near` at the screw's own end, `far` at the other, `u` of their relation, all in one unit.
 * Bayes' rule for a straight line through zero with a normal prior.
 */
export const taught = (known: Interplay, near: number, far: number, u: number): Interplay => {
  const before = 1 / known.u ** 2;
  const gained = near ** 2 / u ** 2;
  return {
    ratio: (known.ratio * before + (near * far) / u ** 2) / (before + gained),
    u: 1 / Math.sqrt(before + gained),
  };
};

/** Least spread that units of one model are given, however alike the few looked like. */
const LEAST_SPREAD = 0.02;

/**
 * Interplay of a model from what was learned of earlier units, for `createAdjuster`. The spread between the units and
 * the uncertainty of each count; null when no unit taught anything.
 */
export const interplayOfModel = (units: readonly Interplay[]): Interplay | null => {
  const told = units.filter(isKnown);
  if (told.length === 0) return null;
  const mean = told.reduce((sum, { ratio }) => sum + ratio, 0) / told.length;
  const each = told.reduce((sum, { u }) => sum + u ** 2, 0) / told.length;
  // One unit says nothing of the spread: half of what is taken for an unknown model's zero screw is kept then.
  const spread =
    told.length < 2
      ? 0.1
      : Math.sqrt(told.reduce((sum, { ratio }) => sum + (ratio - mean) ** 2, 0) / (told.length - 1));
  return {
    ratio: mean,
    u: Math.hypot(Math.max(spread, LEAST_SPREAD) * Math.sqrt(1 + 1 / told.length), Math.sqrt(each)),
  };
};
