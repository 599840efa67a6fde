import type { RangeEnd } from "../vocabulary/adjustment.ts";
import type { Screw } from "../vocabulary/reading.ts";
import { HOME, type InterplayOfScrews, otherEnd } from "./interplay.ts";

export type EndErrors = Readonly<Record<RangeEnd, number>>;

/** 1 when the screws leave each other's end alone, 0 when both do the same and cannot be told apart. */
export const independence = ({ zero, span }: InterplayOfScrews): number => 1 - zero.ratio * span.ratio;

/**
 * Changes each screw has to make at its own end so that both ends come right: zero + r_span * span cancels the error
 * below, r_zero * zero + span the error above, where r is the share that a screw carries to the other end.
 */
export const bothRight = (error: EndErrors, interplay: InterplayOfScrews): Readonly<Record<Screw, number>> => {
  const exact = independence(interplay);
  const determinant = Math.abs(exact) < 0.02 ? 0.02 * (exact < 0 ? -1 : 1) : exact;
  return {
    zero: (-error.lower + interplay.span.ratio * error.upper) / determinant,
    span: (-error.upper + interplay.zero.ratio * error.lower) / determinant,
  };
};

export interface OneMove {
  /** Change at the screw's own end. */
  readonly change: number;
  /** Larger of the two errors that are left. */
  readonly left: number;
  /** The same with what is not known of the interplay on top. */
  readonly left_at_worst: number;
}

/** Standard uncertainties of the interplay that count against a finishing move. */
const CAUTION = 1.5;

/** The turn of this screw alone that leaves the smaller largest error, exactly: where two of the four lines cross. */
export const oneScrewRight = (screw: Screw, error: EndErrors, interplay: InterplayOfScrews): OneMove => {
  const near = error[HOME[screw]];
  const far = error[otherEnd(HOME[screw])];
  const { ratio, u } = interplay[screw];
  const meets = [-near, -far / ratio, (far - near) / (1 - ratio), -(near + far) / (1 + ratio)].filter(Number.isFinite);
  let best = { change: 0, left: Math.max(Math.abs(near), Math.abs(far)) };
  for (const change of meets) {
    const left = Math.max(Math.abs(near + change), Math.abs(far + ratio * change));
    if (left < best.left) best = { change, left };
  }
  return { ...best, left_at_worst: best.left + CAUTION * u * Math.abs(best.change) };
};
