import type { RunRecord } from "./run-record.ts";

/** What the vented gauge showed before the first point and after the last one, kPa. */
export interface GaugeZero {
  readonly before: number;
  readonly after: number;
}

const PASSED_BY = ["vented-zero", "zero-after"] as const;

/**
 * Vented readings of the gauge from the checks before and after a run; nothing where one of them is not there, because
 * the unit does not vent by current or a screw was turned in between.
 */
export const gaugeZeroOf = ({ preflight }: Pick<RunRecord, "preflight">): { readonly gauge_zero?: GaugeZero } => {
  const [first, last] = PASSED_BY;
  const before = preflight.find((p) => p.check === first && p.vented_kPa !== undefined)?.vented_kPa;
  const after = preflight.findLast((p) => p.check === last && p.vented_kPa !== undefined)?.vented_kPa;
  return before === undefined || after === undefined ? {} : { gauge_zero: { before, after } };
};
