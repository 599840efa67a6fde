import { spanOf, type Transfer } from "./signal-range.ts";

/** Lift-off: the input at which the output of a range that begins at zero pressure begins to rise, found from below. */
export interface LiftOff {
  /** % of output span, which is % of input span of a linear unit; negative below the range. */
  readonly input_percent: number;
  /** Standard uncertainty of the search. */
  readonly u_percent: number;
}

/** A low end this near to zero pressure, as a share of the span, is zero. */
const ZERO_SHARE = 0.005;

/**
 * The output of such a range cannot fall below its low end, so a reading there cannot show a negative error. Against
 * vacuum or another port the lowest pressure is not known here.
 */
export const beginsAtZero = ({ output, characteristic }: Transfer): boolean =>
  output.mode === "gauge" && characteristic === "linear" && Math.abs(output.lower_kPa) <= ZERO_SHARE * spanOf(output);

/** What the output would be at 0 % if it could fall below zero: its straight line continued from lift-off down. */
export const outputByLiftOff = ({ output }: Transfer, input_percent: number): number =>
  -(input_percent / 100) * spanOf(output);

/** The lift-off at which the output, continued, would be this at 0 %. */
export const liftOffFor = ({ output }: Transfer, output_kPa: number): number => (-100 * output_kPa) / spanOf(output);

/** Error at the low end by lift-off: the continued output less the ideal one. */
export const zeroErrorByLiftOff = (transfer: Transfer, input_percent: number): number =>
  outputByLiftOff(transfer, input_percent) - transfer.output.lower_kPa;
