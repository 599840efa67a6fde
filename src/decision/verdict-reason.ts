import type { Direction } from "../vocabulary/reading.ts";

/** Why a point keeps its stage from passing, as a word with its figures, so that it can be said in any language. */
export interface VerdictReason {
  readonly ordinal: number;
  readonly nominal_percent: number;
  readonly direction: Direction;
  readonly cycle: number;
  readonly kind:
    | "guard-band"
    | "narrowly-outside"
    | "outside"
    | "unknown-u"
    | "at-zero"
    | "at-supply"
    | "no-zone"
    | "no-zone-and-beyond";
  /** Figures with enough digits and their unit, decimal point, such as "0.515 kPa". */
  readonly error: string;
  readonly limit: string;
  readonly U: string;
}

const WHY: Readonly<Record<VerdictReason["kind"], (r: VerdictReason) => string>> = {
  "guard-band": (r) => `within the limit, but inside the guard band: ${band(r)}`,
  "narrowly-outside": (r) => `outside the limit by less than the guard band: ${band(r)}`,
  outside: (r) => `outside the limit: ${band(r)}`,
  "unknown-u": () => "no statement: its uncertainty is not known",
  "at-zero": (r) => `no statement: the output stood at zero pressure, so its error of ${r.error} is not all of it`,
  "at-supply": (r) => `no statement: the output stood at the supply, so its error of ${r.error} is not all of it`,
  "no-zone": (r) => `no statement: U = ${r.U} leaves no zone of acceptance within the limit of ${r.limit}`,
  "no-zone-and-beyond": (r) =>
    `no statement: U = ${r.U} leaves no zone of acceptance within the limit of ${r.limit}; its error of ${r.error} is beyond the limit by more than U all the same`,
};

const band = ({ error, limit, U }: VerdictReason): string => `error ${error}, limit ${limit}, U ${U}`;

/** A point's place for print: four decimals tell any two points apart, and 100/9 has no end. */
export const nominalText = (percent: number): string => String(Number(percent.toFixed(4)));

export const verdictReasonText = (reason: VerdictReason): string =>
  `point ${reason.ordinal} (${nominalText(reason.nominal_percent)} % ${reason.direction}, cycle ${reason.cycle}): ${WHY[reason.kind](reason)}`;
