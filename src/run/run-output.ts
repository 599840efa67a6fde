import type { RunEvent } from "../readings/run-event.ts";
import type { RangeEnd } from "../vocabulary/adjustment.ts";
import type { Fault } from "../vocabulary/fault.ts";
import type { Screw } from "../vocabulary/reading.ts";
import type { SettlingVerdict } from "./settling/settling-rule.ts";
import type { TurnCue } from "./stages/adjusting-cue.ts";

/** What a view may want to see while it happens. None of it is recorded. Percent is of output span. */
export type Live =
  | { readonly kind: "pressure"; readonly kPa: number; readonly percent: number }
  | { readonly kind: "no-reading"; readonly fault: Fault }
  | { readonly kind: "current"; readonly mA: number }
  | { readonly kind: "supply"; readonly kPa: number }
  | { readonly kind: "ambient"; readonly degC: number }
  /** A step of the plan begins; `index` counts from 0 over the steps of the plan. */
  | { readonly kind: "step"; readonly index: number; readonly of: number; readonly target_percent: number }
  /** On the way to a place that is no step of the plan, such as an end of the range while adjusting. */
  | { readonly kind: "going"; readonly target_percent: number }
  | { readonly kind: "set-point"; readonly percent: number; readonly mA: number }
  | {
      readonly kind: "verdict";
      readonly verdict: SettlingVerdict;
      readonly waited_s: number;
      /** Slope of the output over the last few seconds; null while there are too few readings. */
      readonly slope_percent_per_min: number | null;
    }
  | { readonly kind: "holding"; readonly why: string; readonly until_s: number }
  | { readonly kind: "checking"; readonly check: string }
  | {
      readonly kind: "turn-asked";
      readonly screw: Screw;
      readonly at: RangeEnd;
      readonly at_percent: number;
      readonly target_kPa: number;
      readonly within_kPa: number;
      /** Zero by lift-off: what the gauge shows while nothing flows, and how far above that flow begins to show. */
      readonly lift_off?: { readonly floor_kPa: number; readonly sign_kPa: number };
      readonly why: string;
    }
  /** What the hand should know at this moment. */
  | { readonly kind: "turn-cue"; readonly cue: TurnCue }
  | { readonly kind: "turn-ended" }
  | { readonly kind: "asking"; readonly what: string }
  | { readonly kind: "line-lost"; readonly fault: Fault; readonly until_s: number }
  | { readonly kind: "line-back" }
  | { readonly kind: "making-safe" };

/**
 * What a run gives: records to be kept for ever, in order, and live samples for the eye. `at_s` is on the run's clock.
 */
export type RunOutput =
  | { readonly type: "record"; readonly at_s: number; readonly event: RunEvent }
  | { readonly type: "live"; readonly at_s: number; readonly live: Live };
