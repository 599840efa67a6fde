import type { HoldFigures } from "../examination/hold-figures.ts";
import type { StepResponse } from "../examination/step-response.ts";

/**
 * What the tests said of a unit. null: that test was not run, and nothing is concluded from it. Percent is of the
 * output span; errors are output minus ideal.
 */
export interface Evidence {
  readonly tolerance_percent: number;
  /** Calibration: errors at the ends, bend of the mean curve, widest loop, and how far full output stays short. */
  readonly curve: CurveEvidence | null;
  readonly step_up: StepResponse | null;
  readonly step_down: StepResponse | null;
  /** A step too small for the flow to limit it, where ringing shows. */
  readonly small_step: StepResponse | null;
  readonly leak_percent_per_min: number | null;
  readonly dead_band_percent: number | null;
  readonly holds: readonly HoldFigures[];
  readonly supply: SupplyEvidence | null;
  /** Measured minus commanded loop current, largest, mA. */
  readonly current_off_mA: number | null;
}

export interface CurveEvidence {
  readonly zero_percent: number;
  /** Error at the top less error at the bottom. */
  readonly span_percent: number;
  readonly bend_percent: number;
  readonly hysteresis_percent: number;
  /** Error at full input less the line through the other points: strongly negative where the output meets a ceiling. */
  readonly top_short_percent: number;
  readonly slope: number;
  /** Nominal range of the unit's file, kPa. */
  readonly lower_kPa: number;
  readonly upper_kPa: number;
}

export interface SupplyEvidence {
  readonly at_kPa: number;
  /** Rated band. */
  readonly lower_kPa: number;
  readonly upper_kPa: number;
  readonly droop_kPa: number | null;
  /** Half of the swing of the supply while the unit stood still. */
  readonly swing_kPa: number | null;
  readonly influence_percent_per_10_kPa: number | null;
}
