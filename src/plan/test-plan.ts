import type { Milliamp, PercentOfSpan, Second } from "../vocabulary/quantities.ts";
import type { Direction } from "../vocabulary/reading.ts";

/** One point to be read, approached from one side. Percentages are of the OUTPUT span: rising means pressure rising. */
export interface PointStep {
  readonly kind: "point";
  /** Counts from 1 over the whole sequence. */
  readonly ordinal: number;
  readonly cycle: number;
  readonly direction: Direction;
  readonly nominal_percent: PercentOfSpan;
  readonly nominal_mA: Milliamp;
}

/** Move the unit without reading a result: a stroke over the range, a hold at the top, a back-off before an approach. */
export interface ExerciseStep {
  readonly kind: "exercise";
  readonly ordinal: number;
  readonly to_percent: PercentOfSpan;
  readonly to_mA: Milliamp;
  readonly hold_s: Second;
  /** The hold may end from here on, once the settling rule has learned what it can; without it all of `hold_s` is kept. */
  readonly least_hold_s?: Second;
}

export type PlanStep = PointStep | ExerciseStep;

/** When a reading may be taken. Figures are in % of output span and seconds; they go into the record as they are. */
export type SettlingChoice =
  | {
      readonly rule: "detector";
      readonly limit_percent: number;
      readonly gamma: number;
      readonly minimum_dwell_s: number;
      readonly timeout_s: number;
    }
  | { readonly rule: "fixed-dwell"; readonly dwell_s: number; readonly average_s: number }
  | { readonly rule: "band"; readonly band_percent: number; readonly window_s: number; readonly timeout_s: number }
  | {
      readonly rule: "slope";
      readonly slope_percent_per_min: number;
      readonly window_s: number;
      readonly timeout_s: number;
    };

export interface ApproachChoice {
  /** Speed at which the set point is ramped, % of output span per second. */
  readonly ramp_percent_per_s: number;
  /** Time between two commands of the ramp. */
  readonly ramp_interval_s: number;
  /** An output that goes past its final value by more than this has changed direction: approach again. % of span. */
  readonly overshoot_percent: number;
  /** How often a point is approached again before it is recorded as approached wrongly. */
  readonly retries: number;
}

/** The explicit list of what will be done, readable before any port is opened. */
export interface TestPlan {
  readonly sequence: string;
  readonly title: string;
  /** Which written rules it follows and where it deviates, one sentence each. */
  readonly follows: readonly string[];
  readonly steps: readonly PlanStep[];
  /** The exercise strokes at the head of the steps are done again before the as-left points. */
  readonly exercise_each_stage: boolean;
  /** Where the screws are turned when they are: zero at the lower, span at the upper point. */
  readonly adjust_at: {
    readonly lower_percent: PercentOfSpan;
    readonly upper_percent: PercentOfSpan;
    /** A range that begins at zero pressure: zero is set by the input at which the output begins to rise. */
    readonly zero_by?: "lift-off";
  };
  readonly approach: ApproachChoice;
  readonly settling: SettlingChoice;
}
