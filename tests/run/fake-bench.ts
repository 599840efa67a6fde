import {
  concatMap,
  defer,
  delay,
  EMPTY,
  finalize,
  map,
  NEVER,
  type Observable,
  of,
  repeat,
  share,
  tap,
  throwError,
  timer,
  type VirtualTimeScheduler,
} from "rxjs";
import type { Bench, BenchInstrument, Hand, SafeOutcome, Sampled } from "../../src/ports/bench.ts";
import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import { celsius, kPa, type Milliamp, mA, percentOfSpan, seconds } from "../../src/vocabulary/quantities.ts";
import type { CurrentReading, PressureReading, TemperatureReading } from "../../src/vocabulary/reading.ts";
import { err, ok } from "../../src/vocabulary/result.ts";
import { percentOf, pressureAt } from "../../src/vocabulary/signal-range.ts";
import { kegLine } from "../plan/units.ts";

/** What can be set about the fake. Percent of output span, seconds. */
export interface FakeSettings {
  readonly tau_s?: number;
  /** Error at the low and at the high end. */
  readonly zeroError?: number;
  readonly spanError?: number;
  /** Added to what the gauge shows, as a function of time. */
  readonly disturb?: (time_s: number, commanded_percent: number) => number;
  /** What the gauge answers instead of a reading, as a function of time. */
  readonly trouble?: (time_s: number) => Fault | "nothing" | null;
  readonly onCommand?: (current: Milliamp, count: number) => Fault | null;
  readonly safe?: "safe" | "unknown" | "silent" | "throws";
  readonly serial?: (time_s: number) => string;
  readonly direct?: boolean;
  readonly supply_kPa?: number;
  readonly loopLoss_mA?: number;
}

export interface FakeBench extends Bench {
  readonly hand: Hand;
  /** Every current the source was told, safe ones included. */
  readonly commands: readonly number[];
  readonly safeCalls: number;
  readonly current_mA: number;
  /** Sample streams that somebody listens to now. */
  readonly listeners: number;
}

const POLL_S = 0.25;
const SAFE_mA = 4;
const VENTED = -25; // % of span of 20 to 100 kPa: 0 kPa

/**
 * A first-order unit on a bench that keeps to the port's contract: shared streams that poll only while somebody
 * listens, cold commands, trouble as values. All of its time is the scheduler's.
 */
export const fakeBench = (scheduler: VirtualTimeScheduler, settings: FakeSettings = {}): FakeBench => {
  const tau = settings.tau_s ?? 0.5;
  const state = {
    current: SAFE_mA,
    output: 0,
    at_s: 0,
    zero: settings.zeroError ?? 0,
    span: settings.spanError ?? 0,
    listeners: 0,
    safe: 0,
  };
  const commands: number[] = [];
  const now_s = (): number => scheduler.now() / 1000;

  /** Lets the output run on to now. `span` moves the top, `zero` all of it. */
  const advance = (): void => {
    const share = (state.current - 4) / 16;
    const ideal = 100 * (settings.direct === false ? 1 - share : share);
    // Well below its range the unit is open to the air, whatever its screws say.
    const target = state.current < 2 ? VENTED : ideal + state.zero + (state.span * ideal) / 100;
    state.output = target + (state.output - target) * Math.exp(-(now_s() - state.at_s) / tau);
    state.at_s = now_s();
  };
  const setCurrent = (current: number): void => {
    advance();
    commands.push(current);
    state.current = current;
  };
  const polled = <R>(read: () => Observable<Sampled<R>>): Observable<Sampled<R>> =>
    defer(() => {
      state.listeners += 1;
      // Not interval(): on a virtual clock its ticks hang on one another, and letting go of thousands overflows the stack.
      return timer(POLL_S * 1000, scheduler).pipe(
        repeat(),
        concatMap(read),
        finalize(() => {
          state.listeners -= 1;
        }),
      );
    }).pipe(share());
  const readPressure = (): Observable<Sampled<PressureReading>> => {
    advance();
    const trouble = settings.trouble?.(now_s()) ?? null;
    if (trouble === "nothing") return EMPTY;
    if (trouble !== null) return of(err(trouble));
    const commanded = (100 * (state.current - 4)) / 16;
    const shown = state.output + (settings.disturb?.(now_s(), commanded) ?? 0);
    const value = { kPa: pressureAt(kegLine.output, percentOfSpan(shown)), mode: "gauge" as const };
    return of(ok({ value, at_s: seconds(now_s()) }));
  };
  const readCurrent = (): Observable<Sampled<CurrentReading>> =>
    of(ok({ value: { mA: mA(state.current - (settings.loopLoss_mA ?? 0)) }, at_s: seconds(now_s()) }));
  const readSupply = (): Observable<Sampled<PressureReading>> =>
    of(ok({ value: { kPa: kPa(settings.supply_kPa ?? 140), mode: "gauge" as const }, at_s: seconds(now_s()) }));
  const readAmbient = (): Observable<Sampled<TemperatureReading>> =>
    of(ok({ value: { degC: celsius(21) }, at_s: seconds(now_s()) }));

  const instrument = (role: BenchInstrument["role"], name: string, serial: string): BenchInstrument => ({
    role,
    name,
    identity: ok({ maker: "Kesselhaus", model: "fake", serial_number: serial, simulated: true }),
  });
  const safe = (): Observable<SafeOutcome> => {
    state.safe += 1;
    if (settings.safe === "silent" && state.safe > 1) return NEVER;
    if (settings.safe === "throws" && state.safe > 1) return throwError(() => new Error("the port was torn out"));
    if (settings.safe === "unknown" && state.safe > 1)
      return of({ kind: "unknown", reason: "source-1 did not answer", at_s: seconds(now_s()) });
    setCurrent(SAFE_mA);
    return of<SafeOutcome>({ kind: "safe", current_mA: mA(SAFE_mA), at_s: seconds(now_s()) });
  };

  return {
    simulated: true,
    pressure$: polled(readPressure),
    current$: polled(readCurrent),
    supply$: polled(readSupply),
    ambient$: polled(readAmbient),
    identify: () =>
      timer(100, scheduler).pipe(
        map(() => [
          instrument("source", "source-1", "S-100"),
          instrument("gauge", "gauge-1", settings.serial?.(now_s()) ?? "G-200"),
        ]),
      ),
    command: (current) =>
      defer(() => {
        const refused = settings.onCommand?.(current, commands.length) ?? null;
        if (refused !== null) return of(err(refused));
        setCurrent(current);
        return of(ok({ confirmed: current, at_s: seconds(now_s()) }));
      }).pipe(
        delay(20, scheduler),
        map((answer) => (answer.ok ? ok({ ...answer.value, at_s: seconds(now_s()) }) : answer)),
      ),
    makeSafe: () => defer(safe).pipe(delay(50, scheduler)),
    hand: {
      turn: ({ screw, target_kPa }) =>
        timer(5000, scheduler).pipe(
          tap(() => {
            advance();
            const share = (state.current - 4) / 16;
            const ideal = 100 * share;
            const change = percentOf(kegLine.output, target_kPa) - (ideal + state.zero + (state.span * ideal) / 100);
            if (screw === "zero") state.zero += change;
            else state.span += change / Math.max(share, 0.01);
          }),
          map(() => ({ kind: "let-go" as const })),
        ),
    },
    get commands() {
      return commands;
    },
    get safeCalls() {
      return state.safe;
    },
    get current_mA() {
      return state.current;
    },
    get listeners() {
      return state.listeners;
    },
  };
};

export const lineLost: Fault = fault("communication", "line-lost", "The adapter of gauge-1 is gone.");
export const silence: Fault = fault("communication", "silence", "No answer from gauge-1 for 0.5 s.");
