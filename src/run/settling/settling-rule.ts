/**
 * The one interface of every rule that decides when a reading may be taken. Values are in % of output span, times in
 * seconds on the run's clock. A rule holds its own state, needs no clock and reaches nothing outside itself: the same
 * samples give the same verdicts.
 */
export interface SettlingSample {
  readonly time_s: number;
  /** null when the gauge gave no reading at that time. */
  readonly value: number | null;
}

export interface PointStart {
  /** When the last command of the approach was given. */
  readonly at_s: number;
  /** Output expected before and after the approach, % of span. */
  readonly from: number;
  readonly to: number;
  /** An exercise stroke is there to be learned from; its verdict is not a result. */
  readonly role: "exercise" | "point";
  /** From the first to the last command of the approach; left out or 0 for a step. */
  readonly ramp_s?: number;
  /** No reading is taken sooner after the last command than this, whatever the plan says. */
  readonly least_s?: number;
}

export type SettlingVerdict =
  | { readonly kind: "moving"; readonly expected_s: number | null; readonly confidence: number }
  | { readonly kind: "settling"; readonly expected_s: number | null; readonly confidence: number }
  | {
      readonly kind: "settled";
      /** Mean of readings; never an extrapolated value. */
      readonly value: number;
      /** Standard uncertainty of that mean, including what is still to come. */
      readonly u: number;
      /** Part of `u` that stands for the movement still to come. */
      readonly u_residual: number;
      /**
       * Standard uncertainty for creep of the unit that goes on after what the rule waits for, % of span: what was learned of
       * it, with its doubt. It is no part of `u`: whether it belongs to the result is for the budget to say.
       */
      readonly u_creep?: number;
      readonly n_effective: number;
      /** The readings averaged lie in [from_s, to_s]. */
      readonly from_s: number;
      readonly to_s: number;
    }
  | { readonly kind: "hunting"; readonly centre: number; readonly amplitude: number; readonly period_s: number }
  | { readonly kind: "drifting"; readonly rate_per_min: number }
  | { readonly kind: "not-settled"; readonly waited_s: number }
  | { readonly kind: "no-new-data"; readonly for_s: number };

export interface SettlingRule {
  begin(start: PointStart): void;
  take(sample: SettlingSample): SettlingVerdict;
  /** What was learned about the unit so far, in words, for the record. */
  learned(): readonly string[];
}

export const isFinal = (verdict: SettlingVerdict): boolean => verdict.kind !== "moving" && verdict.kind !== "settling";
