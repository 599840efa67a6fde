import { type PercentOfSpan, percentOfSpan } from "../vocabulary/quantities.ts";
import { spanOf, type Transfer } from "../vocabulary/signal-range.ts";

/** A low end nearer than this to zero gauge pressure hides an output that wants to be below it. Share of span. */
const HIDDEN_SHARE = 0.05;
/** Where zero is set instead; common practice, no source. */
const VISIBLE_PERCENT = 10;

/**
 * Where the screws are turned: zero at 0 %, span at 100 % (Kuphaldt, Lessons in Industrial Instrumentation), except
 * that a range beginning at zero gauge pressure has zero set a little higher, because no output goes below that.
 */
export const adjustmentPoints = (
  transfer: Transfer,
): { readonly lower_percent: PercentOfSpan; readonly upper_percent: PercentOfSpan } => {
  const { output } = transfer;
  const hidden = output.mode === "gauge" && output.lower_kPa < HIDDEN_SHARE * spanOf(output);
  return { lower_percent: percentOfSpan(hidden ? VISIBLE_PERCENT : 0), upper_percent: percentOfSpan(100) };
};
