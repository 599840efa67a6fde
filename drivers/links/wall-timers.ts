import type { Timers } from "../../src/ports/timers.ts";

/** Waits up to this long are kept to a tenth of a millisecond, ms: the silences between frames on a serial line. */
const FINE_BELOW_MS = 12;
/** The system's timer counts whole milliseconds and fires up to one late. */
const TIMER_GRAIN_MS = 1;

/** A short wait: the timer for all but the last part, then turns of the event loop, which hold nothing else up. */
const afterFine = (delay_ms: number, work: () => void): (() => void) => {
  const due_ms = performance.now() + delay_ms;
  let turn: NodeJS.Immediate | undefined;
  const look = (): void => {
    if (performance.now() >= due_ms) work();
    else turn = setImmediate(look);
  };
  const coarse_ms = Math.floor(delay_ms) - TIMER_GRAIN_MS;
  const timer = coarse_ms >= 1 ? setTimeout(look, coarse_ms) : undefined;
  if (timer === undefined) turn = setImmediate(look);
  return () => {
    clearTimeout(timer);
    clearImmediate(turn);
  };
};

/** The clock on the wall; monotonic, so a corrected system time moves no deadline. */
export const wallTimers: Timers = {
  now_s: () => performance.now() / 1e3,
  after: (delay_s, work) => {
    const delay_ms = Math.max(0, delay_s * 1e3);
    if (delay_ms < FINE_BELOW_MS) return afterFine(delay_ms, work);
    const handle = setTimeout(work, delay_ms);
    return () => clearTimeout(handle);
  },
};
