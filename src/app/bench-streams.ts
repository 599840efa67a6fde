import {
  catchError,
  defer,
  firstValueFrom,
  from,
  map,
  type Observable,
  of,
  repeat,
  type SchedulerLike,
  share,
  timer,
} from "rxjs";
import type { Bench, BenchInstrument, SafeOutcome, Sampled } from "../ports/bench.ts";
import type {
  CurrentMeter,
  CurrentSource,
  Hygrometer,
  Instrument,
  Meter,
  PressureGauge,
  Thermometer,
} from "../ports/instruments.ts";
import { type Fault, fault, faultText } from "../vocabulary/fault.ts";
import { type Milliamp, seconds } from "../vocabulary/quantities.ts";
import { err } from "../vocabulary/result.ts";

/** The one place where the promises of the drivers become the streams of the run. */

export interface StationInstruments {
  readonly source: CurrentSource;
  readonly gauge: PressureGauge;
  readonly currentMeter: CurrentMeter | null;
  readonly supplyGauge: PressureGauge | null;
  readonly ambient: Thermometer | null;
  readonly humidity?: Hygrometer | null;
  readonly barometer?: PressureGauge | null;
}

export interface PollPeriods {
  /** Time between the end of one gauge reading and the next request, ms on the run's clock. */
  readonly gauge_ms: number;
  readonly meter_ms: number;
  readonly slow_ms: number;
}

export const DEFAULT_PERIODS: PollPeriods = { gauge_ms: 100, meter_ms: 250, slow_ms: 2000 };

/** How far a read-back may lie from the safe current and still be called safe. */
const SAFE_WITHIN_mA = 0.05;

/** Tries, and the pause between them: a source slews, and may report trouble of the current that it comes from until then. */
const SAFE_ATTEMPTS = 4;
const SAFE_PAUSE_MS = 300;

const unexpected = (name: string, error: unknown): Fault =>
  fault("communication", "internal", `${name} failed in a way its driver did not foresee: ${String(error)}.`, {
    remedy: "Please report this text.",
  });

/** A driver call as a cold stream that never errors. */
const call = <T>(name: string, ask: () => Promise<Sampled<T>>): Observable<Sampled<T>> =>
  defer(() => from(ask())).pipe(catchError((error: unknown) => of(err(unexpected(name, error)))));

const polled = <R>(meter: Meter<R>, period_ms: number, scheduler: SchedulerLike): Observable<Sampled<R>> =>
  call(meter.name, () => meter.read()).pipe(repeat({ delay: () => timer(period_ms, scheduler) }), share());

export const benchStreams = (
  station: StationInstruments,
  safe_mA: Milliamp,
  scheduler: SchedulerLike,
  start_ms: number,
  simulatedByFile: boolean,
  periods: PollPeriods = DEFAULT_PERIODS,
): Bench => {
  const now_s = () => seconds((scheduler.now() - start_ms) / 1000);
  const { source, gauge, currentMeter, supplyGauge, ambient } = station;
  const humidity = station.humidity ?? null;
  const barometer = station.barometer ?? null;
  let simulated = simulatedByFile;

  const roles: readonly (readonly [BenchInstrument["role"], Instrument | null])[] = [
    ["source", source],
    ["gauge", gauge],
    ["supply-gauge", supplyGauge],
    ["current-meter", currentMeter],
    ["ambient", ambient],
    ["humidity", humidity],
    ["barometer", barometer],
  ];

  const identifyAll = async (): Promise<readonly BenchInstrument[]> => {
    const found: BenchInstrument[] = [];
    for (const [role, instrument] of roles) {
      if (instrument === null) continue;
      const identity = await instrument.identify();
      if (identity.ok && identity.value.simulated) simulated = true;
      found.push({ role, name: instrument.name, identity });
    }
    return found;
  };

  /** Set, then read back from the source: only what it says itself counts as safe. */
  const driveSafe = async (): Promise<SafeOutcome> => {
    let reason = "";
    for (let attempt = 0; attempt < SAFE_ATTEMPTS; attempt += 1) {
      if (attempt > 0) await firstValueFrom(timer(SAFE_PAUSE_MS, scheduler));
      const set = await source.set(safe_mA);
      const back = await source.readBack();
      if (back.ok && Math.abs(back.value.value.mA - safe_mA) <= SAFE_WITHIN_mA) {
        return { kind: "safe", current_mA: back.value.value.mA, at_s: now_s() };
      }
      reason = !back.ok
        ? faultText(back.fault)
        : !set.ok
          ? faultText(set.fault)
          : `${source.name} answers ${back.value.value.mA} mA instead of ${safe_mA} mA`;
    }
    return { kind: "unknown", reason, at_s: now_s() };
  };

  return {
    get simulated() {
      return simulated;
    },
    pressure$: polled(gauge, periods.gauge_ms, scheduler),
    current$: currentMeter === null ? null : polled(currentMeter, periods.meter_ms, scheduler),
    supply$: supplyGauge === null ? null : polled(supplyGauge, periods.slow_ms, scheduler),
    ambient$: ambient === null ? null : polled(ambient, periods.slow_ms, scheduler),
    humidity$: humidity === null ? null : polled(humidity, periods.slow_ms, scheduler),
    airPressure$: barometer === null ? null : polled(barometer, periods.slow_ms, scheduler),
    identify: () => defer(() => from(identifyAll())),
    command: (current) =>
      call(source.name, () => source.set(current)).pipe(
        map((set) => (set.ok ? { ok: true as const, value: { ...set.value, at_s: now_s() } } : set)),
      ),
    makeSafe: () =>
      defer(() => from(driveSafe())).pipe(
        catchError((error: unknown) => of<SafeOutcome>({ kind: "unknown", reason: String(error), at_s: now_s() })),
      ),
  };
};
