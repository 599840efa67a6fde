import { type LiftOff, zeroErrorByLiftOff } from "../vocabulary/lift-off.ts";
import { percentOfSpan } from "../vocabulary/quantities.ts";
import { inputFor, spanOf, type Transfer } from "../vocabulary/signal-range.ts";
import type { Figure, PointError } from "./analysis.ts";

const SOURCE = "common practice, no source";

/** Zero error by lift-off, in % of output span and as current. */
export const liftOffFigures = (transfer: Transfer, { input_percent, u_percent }: LiftOff): readonly Figure[] => {
  const [zero_mA, full_mA] = [inputFor(transfer, percentOfSpan(0)), inputFor(transfer, percentOfSpan(100))];
  const lift_mA = inputFor(transfer, percentOfSpan(input_percent));
  const found = `output begins to rise at ${lift_mA.toFixed(4)} mA, come to from below (standard uncertainty of the search ${u_percent.toFixed(3)} % of span)`;
  return [
    {
      id: "zero-error-lift-off",
      name: "Zero error by lift-off",
      value: (100 * zeroErrorByLiftOff(transfer, input_percent)) / spanOf(transfer.output),
      unit: "%span",
      definition: `output continued below zero pressure, minus ideal, at 0 % of output span; ${found}`,
      source: SOURCE,
      at_percent: 0,
    },
    {
      id: "zero-error-lift-off-current",
      name: "Zero error by lift-off, as current",
      value: Math.sign(full_mA - zero_mA) * (zero_mA - lift_mA),
      unit: "mA",
      definition: `how much earlier than at ${zero_mA.toFixed(3)} mA the output begins to rise; ${found}`,
      source: SOURCE,
      at_percent: 0,
    },
  ];
};

/**
 * The errors that zero pressure hides, told by lift-off: along the straight line from lift-off down, the error is the
 * same at each point that stands at zero. Found rising, so that on a falling way the true error lies nearer to the ideal
 * by the width of the loop.
 */
export const withLiftOff = (
  points: readonly PointError[],
  transfer: Transfer,
  { input_percent, u_percent }: LiftOff,
): readonly PointError[] =>
  points.map((p) =>
    p.clipped === "at-zero"
      ? {
          ...p,
          by_lift_off: {
            error_kPa: zeroErrorByLiftOff(transfer, input_percent),
            u_kPa: (u_percent / 100) * spanOf(transfer.output),
          },
        }
      : p,
  );
