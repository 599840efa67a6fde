import type { RangeEnd } from "../vocabulary/adjustment.ts";
import { fromKilopascal, type PressureUnit } from "../vocabulary/pressure-units.ts";
import { type Kilopascal, kPa } from "../vocabulary/quantities.ts";
import type { Screw } from "../vocabulary/reading.ts";
import type { InterplayOfScrews } from "./interplay.ts";

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
  /** What the records tell of this model's screws; wide guesses where it is left out. */
  readonly interplay?: Partial<InterplayOfScrews>;
  /** A screw that is at its stop, or does nothing: only the other one is turned. */
  readonly stopped?: Screw;
  /** Unit in which the sentences speak; kPa if left out. */
  readonly unit?: PressureUnit;
}

const AIM_SHARE = 0.25;
/** A hand with a sound method needs two to four rounds; common practice, no source. */
export const MOST_ROUNDS = 8;

/** Largest error at an end that is good enough, kPa. */
export const aimOf = (aims: AdjustmentAims): number => (aims.share ?? AIM_SHARE) * aims.tolerance_kPa;

const DECIMALS: Partial<Record<PressureUnit, number>> = { Pa: 0, bar: 5, MPa: 6 };

/** A pressure as the sentences say it: `103.421 kPa`, `15.000 psi`. */
export const sayPressure = (aims: AdjustmentAims, pressure_kPa: number): string => {
  const unit = aims.unit ?? "kPa";
  return `${fromKilopascal(kPa(pressure_kPa), unit).toFixed(DECIMALS[unit] ?? 3)} ${unit}`;
};

/** A change or an error, with its sign. */
export const sayChange = (aims: AdjustmentAims, pressure_kPa: number): string =>
  `${pressure_kPa < 0 ? "" : "+"}${sayPressure(aims, pressure_kPa)}`;
