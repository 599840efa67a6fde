/**
 * Every fault the harness expects. `code` is stable and is what scripts may rely on; `message` says what happened,
 * what it means for the result and what to do now. `kind` decides the exit code and whether a retry makes sense.
 */
export type FaultKind =
  /** Wrong use: a file, an option or a set point that cannot be accepted. Nothing was opened. */
  | "refused"
  /** An instrument did not answer in time, or the line is gone. */
  | "communication"
  /** The instrument answered that it cannot or will not. The line is sound. */
  | "device"
  /** Preflight found a condition under which the numbers would mean nothing. */
  | "preflight"
  /** The pressure never stood still, or the unit does not behave like a converter. */
  | "unit"
  /** A record cannot be read, written or trusted. */
  | "record"
  /** The person stopped the run. */
  | "stopped"
  /** An error of this program. It is a bug; whatever could be made safe was made safe. */
  | "program";

export type FaultCode =
  | "silence"
  | "line-error"
  | "line-lost"
  | "line-closed"
  | "foreign-answer"
  | "device-refused"
  | "device-busy"
  | "not-a-number"
  | "out-of-range"
  | "wrong-identity"
  | "wrong-setting"
  | "set-not-confirmed"
  | "cannot-open"
  | "preflight-failed"
  | "not-settled"
  | "hunting"
  | "drifting"
  | "no-new-data"
  | "adjustment-impossible"
  | "stopped-by-person"
  | "record-write"
  | "record-damaged"
  /** An act on a certificate that its state, the laboratory's rules or the record do not allow. */
  | "not-allowed"
  | "bad-file"
  | "bad-set-point"
  | "bad-option"
  | "internal";

export interface Fault {
  readonly kind: FaultKind;
  readonly code: FaultCode;
  /** What happened, with the number, the instrument's name and the unit. */
  readonly message: string;
  /** What it means for the result, when that is not plain from the message. */
  readonly means?: string;
  /** What to do now. */
  readonly remedy?: string;
}

export const fault = (
  kind: FaultKind,
  code: FaultCode,
  message: string,
  more: { readonly means?: string; readonly remedy?: string } = {},
): Fault => ({ kind, code, message, ...more });

/** One line for a person: message, meaning, remedy, in that order. */
export const faultText = (f: Fault): string =>
  [f.message, f.means, f.remedy].filter((part) => part !== undefined).join(" ");
