import type { Timers } from "../../src/ports/timers.ts";
import type { Fault } from "../../src/vocabulary/fault.ts";
import type { Result } from "../../src/vocabulary/result.ts";

/** Pause before an instrument is asked again, and how long it may stay busy, s. */
const ASK_AGAIN_S = 0.02;
const BUSY_FOR_S = 2;

export const pause = (timers: Timers): Promise<void> =>
  new Promise((resolve) => {
    timers.after(ASK_AGAIN_S, resolve);
  });

/** Asks again while the instrument says that it is busy. Only for questions: they do no harm. */
export const whileBusy = async <T>(timers: Timers, ask: () => Promise<Result<T, Fault>>): Promise<Result<T, Fault>> => {
  const since_s = timers.now_s();
  for (;;) {
    const said = await ask();
    if (said.ok || said.fault.code !== "device-busy" || timers.now_s() - since_s >= BUSY_FOR_S) return said;
    await pause(timers);
  }
};
