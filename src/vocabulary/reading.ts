import type { Celsius, Kilopascal, Milliamp, PercentHumidity, PressureMode, Second } from "./quantities.ts";

/** One reading as it came from an instrument, stamped on the run's clock when its bytes arrived. */
export interface Reading<Q> {
  readonly value: Q;
  readonly at_s: Second;
  /** The bytes as they came, in hex, when the instrument speaks bytes. */
  readonly raw?: string;
}

/** A pressure with what it is measured against. */
export interface Pressure {
  readonly kPa: Kilopascal;
  readonly mode: PressureMode;
}

export type PressureReading = Reading<Pressure>;
export type CurrentReading = Reading<{ readonly mA: Milliamp }>;
export type TemperatureReading = Reading<{ readonly degC: Celsius }>;
export type HumidityReading = Reading<{ readonly percentRH: PercentHumidity }>;

/** From which side a point is approached. `rising` = output pressure rising. */
export type Direction = "rising" | "falling";
/** The two parts of a calibration that are judged. */
export type Stage = "as-found" | "as-left";
/** The only screws that are ever named. */
export type Screw = "zero" | "span";
