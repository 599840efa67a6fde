import type { Observable } from "rxjs";
import type { Fault } from "../vocabulary/fault.ts";
import type { Kilopascal, Milliamp, Second } from "../vocabulary/quantities.ts";
import type {
  CurrentReading,
  HumidityReading,
  PressureReading,
  Screw,
  TemperatureReading,
} from "../vocabulary/reading.ts";
import type { Result } from "../vocabulary/result.ts";
import type { Identity } from "./instruments.ts";

/** A reading, or the named reason why there is none. A stream of these never errors: trouble is a value. */
export type Sampled<R> = Result<R, Fault>;

/** How the source was left. `unknown` is said aloud: the harness could not make sure. */
export type SafeOutcome =
  | { readonly kind: "safe"; readonly current_mA: Milliamp; readonly at_s: Second }
  | { readonly kind: "unknown"; readonly reason: string; readonly at_s: Second };

export interface BenchInstrument {
  readonly role: "source" | "gauge" | "supply-gauge" | "current-meter" | "ambient" | "humidity" | "barometer";
  readonly name: string;
  readonly identity: Result<Identity, Fault>;
}

/**
 * What a run asks of a bench: streams and a few commands, all on the scheduler that the run was given.
 * Sample streams are shared: subscribing twice does not poll twice; with no subscriber nothing is polled.
 * Commands are cold: nothing happens before subscription; each emits one value and completes; none errors.
 */
export interface Bench {
  /** True as soon as any instrument says that it is simulated. */
  readonly simulated: boolean;
  readonly pressure$: Observable<Sampled<PressureReading>>;
  /** Loop current read back independently; null when the station has no such meter. */
  readonly current$: Observable<Sampled<CurrentReading>> | null;
  readonly supply$: Observable<Sampled<PressureReading>> | null;
  readonly ambient$: Observable<Sampled<TemperatureReading>> | null;
  /** Of the room; left out or null when the station has no such meter. */
  readonly humidity$?: Observable<Sampled<HumidityReading>> | null;
  /** The barometer, absolute. */
  readonly airPressure$?: Observable<Sampled<PressureReading>> | null;
  identify(): Observable<readonly BenchInstrument[]>;
  command(current: Milliamp): Observable<Result<{ readonly confirmed: Milliamp; readonly at_s: Second }, Fault>>;
  /** Closes or opens the valve between unit and gauge; left out where the bench has none that moves by itself. */
  readonly isolate?: (closed: boolean) => Observable<Result<null, Fault>>;
  /** Drive the source to its safe value and read it back. May be called at any time and more than once. */
  makeSafe(): Observable<SafeOutcome>;
}

/** What the hand at the screw is asked to do. */
export interface TurnRequest {
  readonly screw: Screw;
  /** Turn until the gauge shows this. */
  readonly target_kPa: Kilopascal;
  /** Close enough. */
  readonly within_kPa: Kilopascal;
  /**
   * Zero by lift-off, where an output that is too low cannot show it: raise until the output has come to `sign_kPa`
   * above `floor_kPa`, then bring it back below that.
   */
  readonly lift_off?: { readonly floor_kPa: Kilopascal; readonly sign_kPa: Kilopascal };
  /** Live readings to watch while turning. */
  readonly live$: Observable<Sampled<PressureReading>>;
}

export type TurnOutcome =
  | { readonly kind: "let-go" }
  | { readonly kind: "no-effect" }
  | { readonly kind: "gave-up"; readonly reason: string };

/** Whoever turns the screws: a person who is prompted, or the simulated hand. */
export interface Hand {
  turn(request: TurnRequest): Observable<TurnOutcome>;
}
