import type { Direction } from "../vocabulary/reading.ts";
import type { Day } from "./calendar-days.ts";

/** What one calibration says for the history of its unit: plain data, to be kept and found without its readings. */

export interface UnitOfFact {
  readonly maker: string;
  readonly model: string;
  readonly serial_number: string;
  readonly tag: string | null;
  readonly customer: string | null;
}

/** Mean over the cycles at one nominal point in one direction. % of output span; errors are output minus ideal. */
export interface FactPoint {
  readonly nominal_percent: number;
  readonly direction: Direction;
  readonly error_percent_span: number;
  /** Expanded uncertainty of the error, and its coverage factor; null where it is not known. */
  readonly U_percent_span: number | null;
  readonly k: number | null;
  readonly limit_percent_span: number;
  /** The output stood at a stop: the true error is hidden, so no drift is read from it. */
  readonly clipped: boolean;
}

export interface FactStage {
  readonly points: readonly FactPoint[];
  readonly zero_error_percent_span: number | null;
  readonly span_error_percent_span: number | null;
  /** Word of the agreed decision rule. */
  readonly verdict: string;
}

export interface FactReference {
  readonly name: string;
  readonly serial_number: string;
  readonly certificate: string;
  /** Last day on which it may be used. */
  readonly due: Day;
}

export interface CalibrationFact {
  readonly run_id: string;
  /** Day of the calibration in the laboratory's time zone. */
  readonly date: Day;
  readonly unit: UnitOfFact;
  /** Range and shape of the unit as one text. Percent of span of another range are another quantity. */
  readonly range: string;
  readonly simulated: boolean;
  /** The run came to its planned end. */
  readonly finished: boolean;
  /** null: nothing was read as found. */
  readonly as_found: FactStage | null;
  /** null: no stage of its own as left. */
  readonly as_left: FactStage | null;
  /** A screw was turned. */
  readonly adjusted: boolean;
  readonly references: readonly FactReference[];
  /** Interval that the laboratory's file stated at the time, months. */
  readonly interval_months: number;
}

/** One unit in one world: a simulated unit is another one, even with the same serial number. */
export const unitKey = ({ unit, simulated }: Pick<CalibrationFact, "unit" | "simulated">): string =>
  JSON.stringify([unit.maker, unit.model, unit.serial_number, simulated]);

/** All units of one model in one world. */
export const modelKey = ({ unit, simulated }: Pick<CalibrationFact, "unit" | "simulated">): string =>
  JSON.stringify([unit.maker, unit.model, simulated]);

/** The largest error of a stage as a share of its limit: 1 is on the limit. */
export const shareOfLimit = (stage: FactStage): number =>
  stage.points.reduce((worst, p) => Math.max(worst, Math.abs(p.error_percent_span) / p.limit_percent_span), 0);

/** Words after which a unit may go back into service. */
export const accepted = (verdict: string): boolean => verdict === "pass" || verdict === "conditional-pass";
