import { beginsAtZero } from "../vocabulary/lift-off.ts";
import { percentOfSpan } from "../vocabulary/quantities.ts";
import { spanOf, type Transfer } from "../vocabulary/signal-range.ts";
import type { TestPlan } from "./test-plan.ts";

/** A low end nearer than this to zero gauge pressure hides an output that wants to be below it. Share of span. */
const HIDDEN_SHARE = 0.05;
/** Where zero is set instead; common practice, no source. */
const VISIBLE_PERCENT = 10;

/**
 * Where the screws are turned: zero at 0 %, span at 100 % (Kuphaldt, Lessons in Industrial Instrumentation). No output
 * goes below zero gauge pressure: a range that begins there has zero set by its lift-off, and one that begins a little
 * above it has zero set a little higher.
 */
export const adjustmentPoints = (transfer: Transfer): TestPlan["adjust_at"] => {
  const { output } = transfer;
  if (beginsAtZero(transfer))
    return { lower_percent: percentOfSpan(0), upper_percent: percentOfSpan(100), zero_by: "lift-off" };
  const hidden = output.mode === "gauge" && output.lower_kPa < HIDDEN_SHARE * spanOf(output);
  return { lower_percent: percentOfSpan(hidden ? VISIBLE_PERCENT : 0), upper_percent: percentOfSpan(100) };
};
