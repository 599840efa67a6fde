import {
  EMPTY,
  filter,
  from,
  Observable,
  type ObservableInput,
  of,
  type SchedulerLike,
  switchMap,
  timeout,
  timer,
} from "rxjs";
import type { Hand, TurnOutcome, TurnRequest } from "../../src/ports/bench.ts";
import type { Screw } from "../../src/vocabulary/reading.ts";
import { createFlowTurns } from "./flow-turns.ts";
import { createRandom } from "./physics/random.ts";
import { createSecant } from "./screw-secant.ts";
import type { SimulatedBench } from "./simulated-bench.ts";

/** How the simulated technician works. All times on the scheduler. */
export interface HandOptions {
  readonly seed: number;
  /** Output span, kPa: the measure of all that is small. */
  readonly span_kPa: number;
  /** Standard deviation of a turn that misses, in its effect on the output; 0.03 % of span if left out. */
  readonly shake_percent?: number;
  /** Time one turn takes; 0.8 s if left out. */
  readonly turn_s?: number;
  /** Least time watched after a turn, at least 2 s; 2 s if left out. */
  readonly watch_s?: number;
  /** Longest time watched for the pressure to stand still, and for a sign of life; 20 s if left out. */
  readonly patience_s?: number;
  /** Turns tried before giving up; 15 if left out. */
  readonly tries?: number;
}

/** Turns a screw by this much, clockwise positive; completes or resolves once it is done. */
export type TurnScrew = (screw: Screw, turns: number) => ObservableInput<unknown>;

interface Seen {
  readonly at_s: number;
  readonly kPa: number;
}

const mean = (values: readonly Seen[]): number => values.reduce((sum, v) => sum + v.kPa, 0) / values.length;

/** Tells the pressure once it stands still: the means of the last two seconds agree, or patience is at its end. */
const createLook = (still_kPa: number, watch_s: number, patience_s: number) => {
  let seen: readonly Seen[] = [];
  let since_s: number | null = null;
  return {
    again: (): void => {
      seen = [];
      since_s = null;
    },
    at: (reading: Seen): number | null => {
      since_s ??= reading.at_s;
      seen = [...seen.filter((s) => s.at_s > reading.at_s - 2), reading];
      const late = seen.filter((s) => s.at_s > reading.at_s - 1);
      const early = seen.filter((s) => s.at_s <= reading.at_s - 1);
      const watched_s = reading.at_s - since_s;
      if (watched_s < watch_s || early.length === 0) return null;
      const still = Math.abs(mean(late) - mean(early)) <= still_kPa;
      return still || watched_s >= patience_s ? mean(late) : null;
    },
  };
};

/**
 * A technician who reaches the screws through a function, such as the service registers of a served bench: turns, watches
 * the live readings until they stand still, turns again. Same seed and same readings, same turns.
 */
export const createServiceHand = (turnScrew: TurnScrew, scheduler: SchedulerLike, options: HandOptions): Hand => {
  const random = createRandom(options.seed).split("hand");
  const patience_s = options.patience_s ?? 20;
  const turn_ms = 1000 * (options.turn_s ?? 0.8);

  const turn = (request: TurnRequest): Observable<TurnOutcome> =>
    new Observable<TurnOutcome>((subscriber) => {
      // Near zero pressure the air runs out slowly: what still moves there is looked at more closely.
      const still_kPa =
        request.lift_off === undefined
          ? Math.max(0.0002 * options.span_kPa, request.within_kPa / 4)
          : request.lift_off.sign_kPa / 8;
      const look = createLook(still_kPa, Math.max(2, options.watch_s ?? 2), patience_s);
      const steadiness = {
        span_kPa: options.span_kPa,
        shake_percent: options.shake_percent ?? 0.03,
        tries: options.tries ?? 15,
      };
      const { lift_off } = request;
      const next =
        lift_off === undefined
          ? createSecant({ ...request, ...steadiness }, random)
          : createFlowTurns({ ...lift_off, ...steadiness }, random);
      let turning = false;

      const end = (outcome: TurnOutcome): void => {
        subscriber.next(outcome);
        subscriber.complete();
      };
      const turnBy = (turns: number): void => {
        turning = true;
        const done$ = timer(turn_ms, scheduler).pipe(switchMap(() => from(turnScrew(request.screw, turns))));
        subscriber.add(
          done$.subscribe({
            error: (trouble: unknown) =>
              end({ kind: "gave-up", reason: `The ${request.screw} screw could not be turned: ${String(trouble)}` }),
            complete: () => {
              turning = false;
              look.again();
            },
          }),
        );
      };

      const readings$ = request.live$.pipe(
        filter((sample) => sample.ok),
        timeout({
          each: 1000 * patience_s,
          scheduler,
          with: () => {
            end({ kind: "gave-up", reason: `The gauge showed nothing for ${patience_s} s.` });
            return EMPTY;
          },
        }),
      );
      subscriber.add(
        readings$.subscribe({
          next: ({ value }) => {
            if (turning) return;
            const at_kPa = look.at({ at_s: value.at_s, kPa: value.value.kPa });
            if (at_kPa === null) return;
            const move = next(at_kPa);
            if (move.kind === "turn") turnBy(move.turns);
            else end(move);
          },
          error: (trouble: unknown) => subscriber.error(trouble),
          complete: () => end({ kind: "gave-up", reason: "The readings ended while the screw was being turned." }),
        }),
      );
    });
  return { turn };
};

/** A technician at the screws of a model, for benches without bytes. Same seed, same turns. */
export const createVirtualHand = (model: SimulatedBench, scheduler: SchedulerLike, options: HandOptions): Hand =>
  createServiceHand((screw, turns) => of(model.plant.turn(screw, turns)), scheduler, options);
