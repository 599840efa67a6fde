import { failed, look, passed, skipped } from "./check.ts";

/** A whole run with its papers takes a few megabytes; with less than this the end of it may not be kept. */
const LEAST_FREE_MB = 100;

/** Room for the record, and a clock that can be right: both are facts of the computer, handed in. */
export const machine = look("machine", ({ context }) => {
  const facts = context.request.preflight.machine;
  if (facts === undefined) return skipped("nothing is known of disk and clock of this computer");
  const { free_MB, utc, not_before } = facts;
  const room = free_MB === null ? "free space not known" : `${Math.floor(free_MB)} MB free`;
  const said = `${room}, clock ${utc}`;
  if (free_MB !== null && free_MB < LEAST_FREE_MB) {
    return failed(
      `${said}; ${LEAST_FREE_MB} MB are wanted`,
      "The record of the run could end in the middle.",
      "Make room on the disk, or choose another output folder.",
    );
  }
  return utc < not_before.utc
    ? failed(
        `${said}, but ${not_before.what} is of ${not_before.utc}`,
        "Dates and due dates of this run would be wrong.",
        "Set the clock of the computer, and see that it is kept right.",
      )
    : passed(said);
});
