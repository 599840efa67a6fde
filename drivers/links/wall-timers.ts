import type { Timers } from "../../src/ports/timers.ts";

/** The clock on the wall; monotonic, so a corrected system time moves no deadline. */
export const wallTimers: Timers = {
  now_s: () => performance.now() / 1e3,
  after: (delay_s, work) => {
    const handle = setTimeout(work, Math.max(0, delay_s * 1e3));
    return () => clearTimeout(handle);
  },
};
