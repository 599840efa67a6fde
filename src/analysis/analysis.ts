import type { LiftOff } from "../vocabulary/lift-off.ts";
import type { Direction, Stage } from "../vocabulary/reading.ts";
import type { StageRemark } from "./stage-remark.ts";

/** What the readings of one stage mean, before uncertainty. All errors are output minus ideal, at the applied input. */
export interface PointError {
  readonly ordinal: number;
  readonly cycle: number;
  readonly direction: Direction;
  readonly nominal_percent: number;
  readonly nominal_mA: number;
  /** Current that was really applied, and who says so. */
  readonly applied_mA: number;
  readonly applied_from: "measured" | "commanded";
  /** Ideal output at the applied current. */
  readonly ideal_kPa: number;
  readonly output_kPa: number;
  readonly error_kPa: number;
  readonly error_percent_span: number;
  /** Percent of the ideal output at the applied current; null where that is zero. */
  readonly error_percent_reading: number | null;
  /** Output moved along the ideal characteristic from the applied to the nominal current. */
  readonly output_at_nominal_kPa: number;
  /** The output stood at a physical stop (zero pressure, supply), so the true error is hidden. */
  readonly clipped: "none" | "at-zero" | "at-supply";
  /** At zero pressure, where lift-off tells the error that the reading hides, with the standard uncertainty of lift-off. */
  readonly by_lift_off?: { readonly error_kPa: number; readonly u_kPa: number };
}

/** Errors at one nominal point, averaged over the cycles. Readings at a stop are left out. % of output span. */
export interface LevelError {
  readonly nominal_percent: number;
  /** Ideal output at the nominal current. */
  readonly ideal_kPa: number;
  /** Mean of the readings in this direction; null when there is none. */
  readonly rising_percent_span: number | null;
  readonly falling_percent_span: number | null;
  /** Mean of the two means; of the one there is when the other is missing. */
  readonly mean_percent_span: number;
  readonly n_rising: number;
  readonly n_falling: number;
}

export type FigureUnit = "%span" | "%input-span" | "%ideal-slope" | "%reading" | "kPa" | "kPa/mA" | "mA" | "1";

/** One figure with its definition, so that nobody has to guess the divisor or the denominator. */
export interface Figure {
  readonly id: FigureId;
  readonly name: string;
  readonly value: number;
  /** `%span` is of the nominal output span, `%input-span` of the nominal input span. */
  readonly unit: FigureUnit;
  /** Own words; names divisor, denominator and pairing. */
  readonly definition: string;
  /** Standard or handbook that defines it. */
  readonly source: string;
  /** Nominal % of span at which it occurs, when it occurs somewhere. */
  readonly at_percent?: number;
}

export type FigureId =
  | "zero-error"
  | "span-error"
  | "gain-error"
  | "sensitivity"
  | "measured-accuracy-positive"
  | "measured-accuracy-negative"
  | "inaccuracy"
  | "maximum-measured-error"
  | "hysteresis-plus-dead-band"
  | "hysteresis-mean"
  | "hysteresis"
  | "zero-deviation"
  | "dead-band"
  | "linearity-independent"
  | "linearity-terminal"
  | "linearity-zero-based"
  | "deviation-least-squares"
  | "conformity-independent"
  | "conformity-terminal"
  | "conformity-zero-based"
  | "repeatability"
  | "non-repeatability"
  | "return-to-zero"
  | "static-error-band"
  | "reproducibility"
  | "point-drift"
  | "zero-error-lift-off"
  | "zero-error-lift-off-current";

export interface StageAnalysis {
  readonly stage: Stage;
  readonly span_kPa: number;
  readonly points: readonly PointError[];
  readonly levels: readonly LevelError[];
  readonly figures: readonly Figure[];
  /** Lift-off of a range that begins at zero pressure; left out where it was not found. */
  readonly lift_off?: LiftOff;
  /** Plain sentences about what the figures cannot say (a clipped end, a missing branch). */
  readonly remarks: readonly string[];
  /** The same as codes with their figures, for other languages. */
  readonly keyed_remarks?: readonly StageRemark[];
}

export const figure = (analysis: StageAnalysis, id: FigureId): Figure | undefined =>
  analysis.figures.find((f) => f.id === id);
