import type { Kilopascal } from "./quantities.ts";
import type { Screw } from "./reading.ts";

/** Which end of the range: `lower` = lower range value of the output pressure. */
export type RangeEnd = "lower" | "upper";

/** What was seen while adjusting, in order. All pressures are outputs in kPa, in the mode of the unit's range. */
export type AdjustmentSeen =
  | {
      readonly kind: "reading";
      readonly at: RangeEnd;
      readonly output_kPa: Kilopascal;
      /** Standard uncertainty of the reading as far as it was seen: noise and settling. */
      readonly u_kPa: Kilopascal;
    }
  | {
      readonly kind: "turn";
      readonly screw: Screw;
      readonly at: RangeEnd;
      readonly target_kPa: Kilopascal;
      readonly before_kPa: Kilopascal;
      readonly after_kPa: Kilopascal;
      readonly u_kPa: Kilopascal;
      /** How the hand let go of the screw. */
      readonly outcome: "let-go" | "no-effect" | "gave-up";
    };

/** What was learned of each screw: the share of its effect that it carries to the other end, and its standard uncertainty. */
export type InterplayLearned = Readonly<Record<Screw, { readonly ratio: number; readonly u: number }>>;

/** What to do next. */
export type AdjustmentMove =
  | {
      readonly kind: "measure";
      readonly at: RangeEnd;
      readonly why: string;
      /** What the hand did that was not asked for, in words; said once. */
      readonly noticed?: string;
    }
  | {
      readonly kind: "turn";
      readonly screw: Screw;
      readonly at: RangeEnd;
      /** Turn until the gauge shows this. */
      readonly target_kPa: Kilopascal;
      /** Close enough. */
      readonly within_kPa: Kilopascal;
      /** Which way the output has to go. */
      readonly way: "raise" | "lower";
      readonly why: string;
      readonly noticed?: string;
    }
  | {
      readonly kind: "done";
      readonly why: string;
      readonly rounds: number;
      readonly learned?: InterplayLearned;
    }
  | {
      readonly kind: "impossible";
      readonly why: string;
      readonly rounds: number;
      readonly learned?: InterplayLearned;
    };

/** What adjusting can do for a unit, from as found. All in % of the output span. */
export interface AdjustmentProspect {
  /** Greatest error as found, and the least that any position of the two screws leaves. */
  readonly found_percent: number;
  readonly best_percent: number;
  readonly limit_percent: number;
  readonly can_pass: boolean;
  readonly wanted_lower_kPa: number;
  readonly wanted_upper_kPa: number;
  /** The same in one sentence. */
  readonly words: string;
  readonly next: NextAdjustment;
}

/** Decides from all that was seen; holds no state of its own, so the same history gives the same move. */
export type NextAdjustment = (seen: readonly AdjustmentSeen[]) => AdjustmentMove;
