import { defer, delay, map, Observable, of, type SchedulerLike, type Subscription, share } from "rxjs";
import type { Bench, BenchInstrument, SafeOutcome, Sampled } from "../../src/ports/bench.ts";
import { fault } from "../../src/vocabulary/fault.ts";
import { celsius, kPa, type Milliamp, mA, percentHumidity, seconds } from "../../src/vocabulary/quantities.ts";
import type { PressureReading } from "../../src/vocabulary/reading.ts";
import { err, ok } from "../../src/vocabulary/result.ts";
import type { DeviceName, SimulatedBenchSettings } from "./bench-settings.ts";
import { identityOf } from "./device-identity.ts";
import { gaugeIndication_kPa } from "./gauge-indication.ts";
import { createRandom, type Random } from "./physics/random.ts";
import { createSimulatedBench, type SimulatedBench } from "./simulated-bench.ts";

const METERS = ["current-meter", "supply-gauge", "ambient", "humidity", "barometer"] as const;
type MeterRole = (typeof METERS)[number];

/** How a virtual bench is asked; all times on the scheduler. */
export interface VirtualBenchOptions {
  /** Time between two polls of the gauge; 0.1 s if left out. */
  readonly poll_s?: number;
  /** Greatest share by which an interval is longer or shorter; 0.1 if left out. */
  readonly jitter?: number;
  /** Time between two polls of the slow meters; 1 s if left out. */
  readonly slow_poll_s?: number;
  /** Time a command takes until it is confirmed; 0.02 s if left out. */
  readonly command_s?: number;
  /** Current at which the converter is left; the settings' starting current if left out. */
  readonly safe_mA?: number;
  /** Stations without these meters. */
  readonly without?: readonly MeterRole[];
  /** With a valve between unit and gauge that closes by itself; without if left out. */
  readonly with_valve?: boolean;
  /** The current that the source drives is believed once it is this near to the safe one; 0.05 mA if left out. */
  readonly safe_within_mA?: number;
}

/** A bench straight on the model, with no bytes between; `model` tells the truth and takes faults. */
export interface VirtualBench extends Bench {
  readonly model: SimulatedBench;
}

const silence = (name: string) =>
  err(
    fault("communication", "silence", `The simulated ${name} did not answer.`, {
      means: "There is no reading for this moment.",
      remedy: "It goes on by itself as soon as the instrument answers again.",
    }),
  );

/**
 * A bench on the scheduler that is handed in. Model time 0 is the scheduler's time at the call. With a virtual time
 * scheduler a whole calibration runs in a fraction of a second, and the same seed gives the same readings to the last bit.
 */
export const createVirtualBench = (
  settings: SimulatedBenchSettings,
  scheduler: SchedulerLike,
  options: VirtualBenchOptions = {},
): VirtualBench => {
  const model = createSimulatedBench(settings);
  const start_ms = scheduler.now();
  const jitters = createRandom(settings.seed).split("polling");
  const jitter = options.jitter ?? 0.1;
  const safe = mA(options.safe_mA ?? settings.start_mA);
  const command_ms = 1000 * (options.command_s ?? 0.02);
  const now = () => seconds(scheduler.now() / 1000);
  const catchUp = (): void => model.advanceTo((scheduler.now() - start_ms) / 1000);

  /** Polls for as long as somebody listens; shared, so two listeners do not poll twice. */
  const polled = <R>(random: Random, every_s: number, read: () => Sampled<R>): Observable<Sampled<R>> =>
    new Observable<Sampled<R>>((subscriber) => {
      const wait_ms = (): number => 1000 * every_s * (1 + random.uniform(-jitter, jitter));
      // A fresh action each time: a virtual action that reschedules itself keeps all its forerunners alive.
      let next: Subscription;
      const poll = (): void => {
        catchUp();
        subscriber.next(read());
        if (!subscriber.closed) next = scheduler.schedule(poll, wait_ms());
      };
      next = scheduler.schedule(poll, wait_ms());
      return () => next.unsubscribe();
    }).pipe(share());

  const meterReading = <R>(name: string, read: () => R): Sampled<R> =>
    model.silent.meter ? silence(name) : ok(read());

  const without = new Set(options.without ?? []);
  const slow_s = options.slow_poll_s ?? 1;
  const readGauge = (): Sampled<PressureReading> => {
    if (model.silent.gauge || model.gauge.lost()) return silence("gauge");
    const pressure = gaugeIndication_kPa(model);
    if (!Number.isFinite(pressure)) {
      return err(fault("device", "not-a-number", "The simulated gauge answered with no number: its sensor is broken."));
    }
    return ok({ value: { kPa: kPa(pressure), mode: model.gaugeState.mode }, at_s: now() });
  };
  const pressure$ = polled<PressureReading>(jitters.split("gauge"), options.poll_s ?? 0.1, () => readGauge());
  const current$ = polled(jitters.split("current meter"), slow_s, () =>
    meterReading("current meter", () => ({ value: { mA: mA(model.meter.current.answer()) }, at_s: now() })),
  );
  const supply$ = polled<PressureReading>(jitters.split("supply gauge"), slow_s, () =>
    meterReading("supply gauge", () => ({
      value: { kPa: kPa(model.meter.pressure.answer()), mode: "gauge" },
      at_s: now(),
    })),
  );
  const ambient$ = polled(jitters.split("thermometer"), slow_s, () =>
    meterReading("thermometer", () => ({
      value: { degC: celsius(model.meter.temperature.answer()) },
      at_s: now(),
    })),
  );

  const humidity$ = polled(jitters.split("hygrometer"), slow_s, () =>
    meterReading("hygrometer", () => ({
      value: { percentRH: percentHumidity(model.truth().humidity_percent) },
      at_s: now(),
    })),
  );
  const airPressure$ = polled<PressureReading>(jitters.split("barometer"), slow_s, () =>
    meterReading("barometer", () => ({
      value: { kPa: kPa(model.truth().air_pressure_kPa), mode: "absolute" },
      at_s: now(),
    })),
  );

  const later = <T>(value: T): Observable<T> => of(value).pipe(delay(command_ms, scheduler));

  const command: Bench["command"] = (current: Milliamp) =>
    defer(() => {
      catchUp();
      if (model.silent.source) {
        return later(
          err(
            fault("communication", "set-not-confirmed", `The simulated source did not confirm ${current} mA.`, {
              means: "What flows in the loop is not known.",
            }),
          ),
        );
      }
      model.source.touch();
      if (!model.source.set(current)) {
        return later(err(fault("device", "device-refused", `The simulated source refused ${current} mA.`)));
      }
      return later(null).pipe(map(() => ok({ confirmed: mA(model.source.commanded_mA()), at_s: now() })));
    });

  /** Long enough for the slowest source to slew over its whole range. */
  const slew_ms = (1000 * (settings.source.upper_mA ?? 24)) / (settings.source.slew_mA_per_s ?? 40);

  const makeSafe = (): Observable<SafeOutcome> =>
    defer(() => {
      catchUp();
      if (options.with_valve === true) model.plant.isolate(false);
      if (!model.silent.source) model.source.set(safe);
      return of(null).pipe(delay(command_ms + slew_ms, scheduler));
    }).pipe(
      map((): SafeOutcome => {
        catchUp();
        const at_s = now();
        if (model.silent.source) return { kind: "unknown", reason: "The simulated source did not answer.", at_s };
        model.source.touch();
        const driven = model.source.current_mA();
        if (Math.abs(driven - safe) > (options.safe_within_mA ?? 0.05)) {
          const reason = `The simulated source drives ${driven.toFixed(3)} mA where ${safe} mA was commanded.`;
          return { kind: "unknown", reason, at_s };
        }
        return { kind: "safe", current_mA: mA(driven), at_s };
      }),
    );

  const isolate: NonNullable<Bench["isolate"]> = (closed) =>
    defer(() => {
      catchUp();
      model.plant.isolate(closed);
      return later(ok(null));
    });

  const instrument = (role: BenchInstrument["role"], device: DeviceName): BenchInstrument => {
    const { maker, model: type, serial_number } = identityOf(model, device);
    const identity = ok({ maker, model: type, serial_number, simulated: true });
    return { role, name: role, identity: model.silent[device] ? silence(role) : identity };
  };

  return {
    model,
    simulated: true,
    pressure$,
    current$: without.has("current-meter") ? null : current$,
    supply$: without.has("supply-gauge") ? null : supply$,
    ambient$: without.has("ambient") ? null : ambient$,
    humidity$: without.has("humidity") ? null : humidity$,
    airPressure$: without.has("barometer") ? null : airPressure$,
    identify: () =>
      defer(() =>
        later([
          instrument("source", "source"),
          instrument("gauge", "gauge"),
          ...METERS.filter((role) => !without.has(role)).map((role) => instrument(role, "meter")),
        ]),
      ),
    command,
    makeSafe,
    ...(options.with_valve === true ? { isolate } : {}),
  };
};
