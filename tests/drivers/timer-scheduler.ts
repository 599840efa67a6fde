import { type SchedulerAction, type SchedulerLike, Subscription } from "rxjs";
import type { Timers } from "../../src/ports/timers.ts";

type Work<T> = (this: SchedulerAction<T>, state?: T) => void;

class TimerAction<T> extends Subscription implements SchedulerAction<T> {
  readonly #timers: Timers;
  readonly #work: Work<T>;
  #cancel: () => void = () => undefined;
  #waits = false;

  constructor(timers: Timers, work: Work<T>) {
    super();
    this.#timers = timers;
    this.#work = work;
    this.add(() => this.#cancel());
  }

  schedule(state?: T, delay_ms = 0): Subscription {
    if (this.closed) return this;
    this.#cancel();
    this.#waits = true;
    this.#cancel = this.#timers.after(delay_ms / 1000, () => {
      this.#waits = false;
      this.#work.call(this, state);
      if (!this.#waits) this.unsubscribe();
    });
    return this;
  }
}

/** A scheduler on the same clock as the wire: streams of a run and deadlines of a line in one time. */
export const timerScheduler = (timers: Timers): SchedulerLike => ({
  now: () => 1000 * timers.now_s(),
  schedule: <T>(work: Work<T>, delay_ms = 0, state?: T) => new TimerAction(timers, work).schedule(state, delay_ms),
});
