import type { Fault } from "../vocabulary/fault.ts";
import type { Milliamp, Second } from "../vocabulary/quantities.ts";
import type { CurrentReading, HumidityReading, PressureReading, TemperatureReading } from "../vocabulary/reading.ts";
import type { Result } from "../vocabulary/result.ts";

/**
 * What an instrument says of itself. `simulated` is true when it says so itself; a record made with it is marked for ever.
 */
export interface Identity {
  readonly maker: string;
  readonly model: string;
  readonly serial_number: string;
  readonly simulated: boolean;
}

/**
 * Obligations of every instrument driver:
 * - every call settles within the instrument's own deadline (wall clock), with a value or a named fault; none rejects;
 * - `close` may be called at any moment and more than once; a call that is pending then settles at once with `line-closed`;
 * - a reading is stamped when its bytes arrive, not when the promise runs;
 * - a value that is not finite, or lies outside what the instrument can measure, is a fault and never a reading.
 */
export interface Instrument {
  /** The name it has in the bench file, for messages. */
  readonly name: string;
  identify(): Promise<Result<Identity, Fault>>;
  close(): Promise<void>;
}

/** A meter of one quantity. Readings come in the internal unit, whatever the instrument shows. */
export interface Meter<R> extends Instrument {
  read(): Promise<Result<R, Fault>>;
}

/** Pressure gauge; also used for the supply. The unit and mode that the instrument itself reports are asserted on `identify`. */
export type PressureGauge = Meter<PressureReading>;
/** Reads the loop current back. */
export type CurrentMeter = Meter<CurrentReading>;
export type Thermometer = Meter<TemperatureReading>;
export type Hygrometer = Meter<HumidityReading>;

export type FallbackOutcome =
  | { readonly kind: "armed"; readonly after_s: Second; readonly current_mA: Milliamp }
  | { readonly kind: "not-available" };

/**
 * A 4-20 mA source. `set` promises that the instrument took the value and answered with it (read back from the
 * instrument, never assumed); it does not promise that the output has slewed there. A `set` that got no answer is not
 * repeated blindly: it fails with `set-not-confirmed`, and the caller makes the bench safe.
 */
export interface CurrentSource extends Instrument {
  set(current: Milliamp): Promise<Result<{ readonly confirmed: Milliamp }, Fault>>;
  /** What the source says it commands now. */
  readBack(): Promise<Result<CurrentReading, Fault>>;
  /**
   * Asks the source to go to `current` by itself when nobody has spoken to it for `after`, so that a harness that died
   * leaves a safe source. Confirmed by reading back; armed anew, before any current is set, after each reconnect.
   * `not-available` when the instrument has no such feature: say so to the person. Once armed, the source wants to be
   * spoken to more often than `after`.
   */
  armFallback(after: Second, current: Milliamp): Promise<Result<FallbackOutcome, Fault>>;
}
