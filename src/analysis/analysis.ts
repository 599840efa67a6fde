import type { Direction, Stage } from "../vocabulary/reading.ts";

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
  /** null where the ideal output is zero. */
  readonly error_percent_reading: number | null;
  /** Output moved along the ideal slope from the applied to the nominal current. */
  readonly output_at_nominal_kPa: number;
  /** The output stood at a physical stop (zero pressure, supply), so the true error is hidden. */
  readonly clipped: "none" | "at-zero" | "at-supply";
}

/** One figure with its definition, so that nobody has to guess the divisor or the denominator. */
export interface Figure {
  readonly id: string;
  readonly name: string;
  readonly value: number;
  readonly unit: "%span" | "%reading" | "kPa" | "kPa/mA" | "mA" | "1";
  /** Own words; names divisor, denominator and pairing. */
  readonly definition: string;
  /** Standard or handbook that defines it. */
  readonly source: string;
  /** Nominal % of span at which it occurs, when it occurs somewhere. */
  readonly at_percent?: number;
}

export interface StageAnalysis {
  readonly stage: Stage;
  readonly span_kPa: number;
  readonly points: readonly PointError[];
  readonly figures: readonly Figure[];
  /** Plain sentences about what the figures cannot say (a clipped end, a missing branch). */
  readonly remarks: readonly string[];
}

export const figure = (analysis: StageAnalysis, id: string): Figure | undefined =>
  analysis.figures.find((f) => f.id === id);
