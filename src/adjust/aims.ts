import type { RangeEnd } from "../vocabulary/adjustment.ts";
import type { Kilopascal } from "../vocabulary/quantities.ts";

/** What adjusting is for. Pressures in kPa, in the mode of the unit's range. */
export interface AdjustmentAims {
  /** Wanted output at the end where each screw is turned: the ideal one, or shifted to spread what screws cannot mend. */
  readonly wanted_kPa: Readonly<Record<RangeEnd, Kilopascal>>;
  /** Greatest error allowed at the ends; the aim is a share of it. */
  readonly tolerance_kPa: Kilopascal;
  /** Share of the tolerance that is good enough at both ends. A quarter, unless the caller says otherwise. */
  readonly share?: number;
  /** Lowest output that can be seen, such as zero gauge pressure: below it a turn changes nothing. */
  readonly floor_kPa?: Kilopascal;
  /** Rounds after which it is called impossible; a round turns each screw at most once. */
  readonly most_rounds?: number;
}

const AIM_SHARE = 0.25;
/** A hand with a sound method needs two to four rounds; common practice, no source. */
export const MOST_ROUNDS = 8;

/** Largest error at an end that is good enough, kPa. */
export const aimOf = (aims: AdjustmentAims): number => (aims.share ?? AIM_SHARE) * aims.tolerance_kPa;
