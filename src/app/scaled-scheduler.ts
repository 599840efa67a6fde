import { performance } from "node:perf_hooks";
import { asyncScheduler, type SchedulerAction, type SchedulerLike, type Subscription } from "rxjs";

/**
 * The wall clock, run `factor` times as fast: one object is alarm and clock, so nothing can be half accelerated.
 * `now()` is in milliseconds since the epoch at the start and finer than a millisecond, because at factor 30 a
 * millisecond of the wall is 30 ms on the bench.
 */
export const scaledScheduler = (factor: number): SchedulerLike => {
  if (!(factor > 0)) throw new RangeError(`a clock factor must be above 0, not ${factor}`);
  const startEpoch = Date.now();
  const startMark = performance.now();
  const scale = <T>(action: SchedulerAction<T>): SchedulerAction<T> => {
    const schedule = action.schedule.bind(action);
    return Object.create(action, {
      schedule: { value: (state?: T, delay = 0): Subscription => schedule(state, delay / factor) },
    }) as SchedulerAction<T>;
  };
  return {
    now: () => startEpoch + (performance.now() - startMark) * factor,
    schedule<T>(work: (this: SchedulerAction<T>, state?: T) => void, delay = 0, state?: T): Subscription {
      return asyncScheduler.schedule<T>(
        function (inner?: T) {
          work.call(scale(this), inner);
        },
        delay / factor,
        state,
      );
    },
  };
};
