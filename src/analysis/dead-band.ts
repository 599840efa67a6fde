import type { CurrentRange } from "../vocabulary/signal-range.ts";
import type { Figure } from "./analysis.ts";
import { largest } from "./error-curves.ts";

/**
 * One dead-band test: the input is moved slowly until the output has just moved, then slowly back until the output
 * has just moved again; both inputs are read.
 */
export interface DeadBandTest {
  readonly nominal_percent: number;
  readonly first_movement_mA: number;
  readonly movement_after_reversal_mA: number;
}

/** The largest dead band of several tests, percent of input span; null without a test. */
export const deadBandFigure = (tests: readonly DeadBandTest[], input: CurrentRange): Figure | null => {
  const span = Math.abs(input.upper_mA - input.lower_mA);
  const worst = largest(tests, (t) => (100 * Math.abs(t.first_movement_mA - t.movement_after_reversal_mA)) / span);
  if (worst === null) return null;
  return {
    id: "dead-band",
    name: "Dead band",
    value: worst.value,
    unit: "%input-span",
    definition:
      "input at which the output had just moved minus input at which it had just moved again after reversing, without sign; the largest of all tests, percent of the nominal input span",
    source: "ISA procedure for dead band, as summarised in lecture notes on ANSI/ISA-51.1",
    at_percent: worst.item.nominal_percent,
  };
};
