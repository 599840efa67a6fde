import type { Timers } from "../../src/ports/timers.ts";
import { type Second, seconds } from "../../src/vocabulary/quantities.ts";

interface Entry {
  readonly at_s: number;
  readonly order: number;
  readonly work: () => void;
}

/** A clock that stands still until it is driven. `settle` runs it just far enough for a promise to settle. */
export interface VirtualTimers extends Timers {
  stamp(): Second;
  /** Runs timers in order until the promise settles; throws when nothing is left that could settle it. */
  settle<T>(promise: Promise<T>): Promise<T>;
  /** Lets time pass. */
  pass(duration_s: number): Promise<void>;
}

/** Lets every promise that can go on do so. */
const breathe = (): Promise<void> =>
  new Promise((resolve) => {
    setImmediate(resolve);
  });

export const virtualTimers = (): VirtualTimers => {
  let now_s = 0;
  let order = 0;
  const entries = new Set<Entry>();

  const earliest = (): Entry | null => {
    let first: Entry | null = null;
    for (const entry of entries) {
      if (first === null || entry.at_s < first.at_s || (entry.at_s === first.at_s && entry.order < first.order)) {
        first = entry;
      }
    }
    return first;
  };

  const run = (entry: Entry): void => {
    entries.delete(entry);
    now_s = Math.max(now_s, entry.at_s);
    entry.work();
  };

  return {
    now_s: () => now_s,
    stamp: () => seconds(now_s),
    after: (delay_s, work) => {
      const entry: Entry = { at_s: now_s + Math.max(0, delay_s), order: order++, work };
      entries.add(entry);
      return () => entries.delete(entry);
    },
    settle: async (promise) => {
      let settled = false;
      const mark = (): void => {
        settled = true;
      };
      promise.then(mark, mark);
      for (;;) {
        await breathe();
        if (settled) return promise;
        const next = earliest();
        if (next === null) throw new Error("the promise never settles: no timer is left");
        run(next);
      }
    },
    pass: async (duration_s) => {
      const until_s = now_s + duration_s;
      for (;;) {
        await breathe();
        const next = earliest();
        if (next === null || next.at_s > until_s) break;
        run(next);
      }
      now_s = until_s;
    },
  };
};
