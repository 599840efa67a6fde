import type { FaultKind } from "../vocabulary/fault.ts";

/** One list, also printed by `stillpoint --help`. A unit that fails its tolerance is a good run of a bad unit: code 3. */
export const EXIT = {
  success: 0,
  failed: 1,
  wrongUse: 2,
  outOfTolerance: 3,
  preflight: 4,
  communication: 5,
  recordDamaged: 6,
  stopped: 7,
  interrupted: 130,
} as const;

export type ExitCode = (typeof EXIT)[keyof typeof EXIT];

export const EXIT_CODE_TEXT: readonly (readonly [ExitCode, string])[] = [
  [EXIT.success, "done, and the unit is within its tolerance"],
  [EXIT.failed, "something failed that is not listed below"],
  [EXIT.wrongUse, "wrong use: an option, a file or a set point was refused; nothing was opened"],
  [EXIT.outOfTolerance, "done, but the unit is outside its tolerance or no statement can be made"],
  [EXIT.preflight, "the preflight found that the numbers would mean nothing"],
  [EXIT.communication, "an instrument did not answer, or the line was lost"],
  [EXIT.recordDamaged, "a record cannot be read, written or trusted"],
  [EXIT.stopped, "stopped by the person"],
  [EXIT.interrupted, "interrupted with Ctrl-C; the source was made safe first"],
];

export const EXIT_CODE_OF: Readonly<Record<FaultKind, ExitCode>> = {
  refused: EXIT.wrongUse,
  communication: EXIT.communication,
  device: EXIT.communication,
  preflight: EXIT.preflight,
  unit: EXIT.failed,
  record: EXIT.recordDamaged,
  stopped: EXIT.stopped,
  program: EXIT.failed,
};
