import { sensitivity } from "../vocabulary/signal-range.ts";
import type { Figure } from "./analysis.ts";
import type { ErrorCurves } from "./error-curves.ts";
import { leastSquaresLine } from "./least-squares.ts";
import { averageCurve } from "./linearity.ts";
import { lineThrough } from "./minimax-line.ts";
import { LEAST_SQUARES, LINEAR_INSTRUMENT } from "./sources.ts";

/**
 * Zero and span error of the averaged curve. Taken from its two end points; continued along the line through them
 * where the run did not go to 0 and 100 %; taken from a line through the free points where an end stands at a stop,
 * because what is read there is the stop and not the unit.
 */
export const zeroSpanFigures = (curves: ErrorCurves): readonly Figure[] => {
  const curve = averageCurve(curves);
  const first = curve[0];
  const last = curve.at(-1);
  if (first === undefined || last === undefined) return [];
  const squares = leastSquaresLine(
    curve.map((p) => p.x),
    curve.map((p) => p.y),
  );
  const hidden = curves.points.some((p) => p.clipped !== "none");
  const ends = hidden ? squares : lineThrough(first, last);
  const figures: Figure[] = [];
  const atZero = curve.find((p) => Math.abs(p.x) < 1e-6);
  const atFull = curve.find((p) => Math.abs(p.x - 100) < 1e-6);
  const how = hidden
    ? "on the least-squares line through the points that did not stand at a stop"
    : "on the line through the lowest and the highest point";
  const averaged = "mean of rising and falling readings over all cycles";
  const zero = atZero !== undefined ? atZero.y : ends?.intercept;
  if (zero !== undefined) {
    figures.push({
      id: "zero-error",
      name: atZero !== undefined ? "Zero error" : "Zero error, estimated",
      value: zero,
      unit: "%span",
      definition:
        atZero !== undefined
          ? `error at 0 % of output span, ${averaged}`
          : `error continued to 0 % of output span ${how}, ${averaged}`,
      source: LINEAR_INSTRUMENT,
      at_percent: 0,
    });
  }
  const span =
    atZero !== undefined && atFull !== undefined
      ? atFull.y - atZero.y
      : ends === null || ends === undefined
        ? undefined
        : 100 * ends.slope;
  if (span !== undefined) {
    const both = atZero !== undefined && atFull !== undefined;
    figures.push({
      id: "span-error",
      name: both ? "Span error" : "Span error, estimated",
      value: span,
      unit: "%span",
      definition: both
        ? `error at 100 % minus error at 0 % of output span, ${averaged}`
        : `error at 100 % minus error at 0 % of output span ${how}, ${averaged}`,
      source: LINEAR_INSTRUMENT,
    });
  }
  if (squares !== null) {
    figures.push({
      id: "gain-error",
      name: "Gain error",
      value: 100 * squares.slope,
      unit: "%ideal-slope",
      definition: `slope of the least-squares line through the points (${averaged}) against the ideal slope, minus 1, percent of the ideal slope`,
      source: LEAST_SQUARES,
    });
    if (curves.transfer.characteristic === "linear") {
      figures.push({
        id: "sensitivity",
        name: "Sensitivity",
        value: sensitivity(curves.transfer, curves.transfer.input.lower_mA) * (1 + squares.slope),
        unit: "kPa/mA",
        definition: `slope of the least-squares line of output over input current (${averaged})`,
        source: LEAST_SQUARES,
      });
    }
  }
  return figures;
};
