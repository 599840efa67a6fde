import { faultText } from "../../vocabulary/fault.ts";
import type { Shipped } from "./ship-store.ts";

/** Waits between passes, s: twice as long after each that failed, and a steady look for new runs. */
const FIRST_WAIT_s = 1;
const LONGEST_WAIT_s = 60;
const LOOK_s = 5;

export interface AgainWishes {
  readonly signal: AbortSignal;
  /** Waits so long, or until the signal. */
  readonly wait: (s: number) => Promise<void>;
  readonly say: (line: string) => void;
}

/** What a pass did, in one line; null when there is nothing to tell. */
export const passLine = ({
  sent,
  already_there,
  ledger_entries,
  certificate_acts,
  waiting,
}: Shipped): string | null => {
  const parts = [
    sent > 0 ? `${sent} ${sent === 1 ? "run" : "runs"} sent` : "",
    already_there > 0 ? `${already_there} there already` : "",
    certificate_acts > 0 ? `${certificate_acts} acts on certificates sent` : "",
    ledger_entries > 0 ? `${ledger_entries} entries of the ledger sent` : "",
    waiting > 0 ? `${waiting} waiting here` : "",
  ].filter((part) => part !== "");
  return parts.length === 0 ? null : `${parts.join(", ")}.`;
};

/**
 * Passes over the outbox until the signal comes. Trouble that may go away is waited out; what a pass refuses, and trouble
 * that stays, is said once and looked at again with the rest. Gives the last pass.
 */
export const shipAgain = async (pass: () => Promise<Shipped>, { signal, wait, say }: AgainWishes): Promise<Shipped> => {
  let pause_s = FIRST_WAIT_s;
  const said = new Set<string>();
  const sayOnce = (line: string): void => {
    if (!said.has(line)) say(line);
    said.add(line);
  };
  for (;;) {
    const done = await pass();
    const line = done.sent + done.already_there + done.certificate_acts > 0 ? passLine(done) : null;
    if (line !== null) say(line);
    for (const f of done.refused) sayOnce(faultText(f));
    if (done.stopped_by === null) {
      pause_s = FIRST_WAIT_s;
      // The same trouble another day is news again.
      if (done.refused.length === 0) said.clear();
    } else sayOnce(`${faultText(done.stopped_by.fault)} ${done.waiting} waiting here.`);
    if (signal.aborted || (done.stopped_by !== null && !done.stopped_by.passing)) return done;
    await wait(done.stopped_by === null ? LOOK_s : pause_s);
    if (signal.aborted) return done;
    if (done.stopped_by !== null) pause_s = Math.min(LONGEST_WAIT_s, 2 * pause_s);
  }
};
