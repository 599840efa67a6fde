import type { CurrentMeter, CurrentSource, Hygrometer, PressureGauge, Thermometer } from "../src/ports/instruments.ts";
import type { Link } from "../src/ports/link.ts";
import type { Prompter } from "../src/ports/prompter.ts";
import type { Timers } from "../src/ports/timers.ts";
import type { Fault } from "../src/vocabulary/fault.ts";
import type { PressureMode, Second } from "../src/vocabulary/quantities.ts";
import type { Result } from "../src/vocabulary/result.ts";
import type { Range } from "./instruments/measured-value.ts";
import type { Profile } from "./profiles/read-profile.ts";

/** What each role of a station is played by. */
export interface InstrumentOf {
  readonly source: CurrentSource;
  readonly gauge: PressureGauge;
  readonly "supply-gauge": PressureGauge;
  readonly "current-meter": CurrentMeter;
  readonly ambient: Thermometer;
  readonly humidity: Hygrometer;
  /** Absolute pressure of the room. */
  readonly barometer: PressureGauge;
}

export type Role = keyof InstrumentOf;

export interface InstrumentSetup {
  /** Name in the bench file. */
  readonly name: string;
  readonly serial_number: string;
  /** Register or line profile, for the drivers that need one. */
  readonly profile?: Profile | undefined;
  /** Unit address on the link, for the drivers that need one. */
  readonly address?: number | undefined;
  /** Range of the role's quantity in its internal unit (kPa, mA, degC, %RH). */
  readonly range?: Range | undefined;
  /** What a pressure is measured against; asserted against the instrument when it can say so. */
  readonly mode?: PressureMode | undefined;
  /** Display digit, or how well a person can read it, in the internal unit. */
  readonly resolution?: number | undefined;
}

/** What an instrument is opened with: the rest of the world, handed in. */
export interface DriverWorld {
  /** The line it hangs on; none for instruments worked by hand. */
  readonly link?: Link | undefined;
  readonly prompter?: Prompter | undefined;
  readonly timers: Timers;
  /** Instant on the run's clock. */
  readonly stamp: () => Second;
}

export interface DriverEntry {
  readonly name: string;
  /** One sentence for the list of drivers. */
  readonly summary: string;
  readonly roles: readonly Role[];
  readonly needs: "link" | "none";
  readonly profile?: "registers" | "lines";
  /** Several instruments may share its link, each under its own unit address. */
  readonly addressed?: boolean;
  open<R extends Role>(role: R, setup: InstrumentSetup, world: DriverWorld): Result<InstrumentOf[R], Fault>;
}
