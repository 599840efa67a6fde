import type { Characteristic } from "../vocabulary/signal-range.ts";
import type { Figure, FigureId } from "./analysis.ts";
import { abscissa, type ErrorCurves } from "./error-curves.ts";
import { leastSquaresLine } from "./least-squares.ts";
import {
  type FittedLine,
  lineOver,
  lineThrough,
  minimaxLine,
  minimaxLineThrough,
  type PlanePoint,
} from "./minimax-line.ts";
import { ISA_51_1, LEAST_SQUARES } from "./sources.ts";

/** The four lines through one curve. Each is null where the curve has too few points for it. */
export interface ReferenceLines {
  /** Any line: the one with the smallest largest deviation. */
  readonly independent: FittedLine | null;
  /** Through the first and the last point. */
  readonly terminal: FittedLine | null;
  /** Through the first point: the one with the smallest largest deviation. */
  readonly zero_based: FittedLine | null;
  readonly least_squares: FittedLine | null;
}

/** `curve`: one point for each x, in any order. */
export const referenceLines = (curve: readonly PlanePoint[]): ReferenceLines => {
  const sorted = curve.toSorted((a, b) => a.x - b.x);
  const first = sorted[0];
  const last = sorted.at(-1);
  if (first === undefined || last === undefined || first.x === last.x) {
    return { independent: null, terminal: null, zero_based: null, least_squares: null };
  }
  const ends = lineThrough(first, last);
  const squares = leastSquaresLine(
    sorted.map((p) => p.x),
    sorted.map((p) => p.y),
  );
  return {
    independent: minimaxLine(sorted),
    terminal: ends === null ? null : lineOver(sorted, ends.slope, ends.intercept),
    zero_based: minimaxLineThrough(first, sorted),
    least_squares: squares === null ? null : lineOver(sorted, squares.slope, squares.intercept),
  };
};

/** The curve that linearity is about: error over ideal output, both in % of output span, averaged. */
export const averageCurve = (curves: ErrorCurves): readonly (PlanePoint & { readonly percent: number })[] =>
  curves.levels.map((level) => ({
    x: abscissa(curves.transfer, level.ideal_kPa),
    y: level.mean_percent_span,
    percent: level.nominal_percent,
  }));

const AVERAGED = "of the mean of rising and falling readings over all cycles";

/**
 * Against the ideal output instead of the input, one and the same fit gives linearity for a linear unit and
 * conformity for a square-root unit: the reference is then the characteristic curve, shifted and stretched.
 */
export const linearityFigures = (curves: ErrorCurves): readonly Figure[] => {
  const curve = averageCurve(curves);
  if (curve.length < 3) return [];
  const lines = referenceLines(curve);
  const linear = curves.transfer.characteristic === "linear";
  const noun = linear ? "linearity" : "conformity";
  const line = linear ? "straight line" : "square-root characteristic";
  const make = (id: FigureId, name: string, fitted: FittedLine | null, placed: string, source: string): Figure[] => {
    if (fitted === null) return [];
    const at = curve.find((p) => p.x === fitted.at_x);
    return [
      {
        id,
        name,
        value: fitted.max_deviation,
        unit: "%span",
        definition: `largest deviation ${AVERAGED} from the ${line} ${placed}, percent of the nominal output span`,
        source,
        ...(at === undefined ? {} : { at_percent: at.percent }),
      },
    ];
  };
  return [
    ...make(
      idOf("independent", curves.transfer.characteristic),
      `Independent ${noun}`,
      lines.independent,
      "placed so that this deviation is as small as possible",
      ISA_51_1,
    ),
    ...make(
      idOf("terminal", curves.transfer.characteristic),
      `Terminal-based ${noun}`,
      lines.terminal,
      "through the lowest and the highest point of that mean",
      ISA_51_1,
    ),
    ...make(
      idOf("zero-based", curves.transfer.characteristic),
      `Zero-based ${noun}`,
      lines.zero_based,
      "that starts at the point of lowest output and makes this deviation as small as possible",
      ISA_51_1,
    ),
    ...make(
      "deviation-least-squares",
      "Deviation from the least-squares line",
      lines.least_squares,
      "fitted by least squares, each point counting once (none of the three lines above)",
      LEAST_SQUARES,
    ),
  ];
};

const idOf = (kind: "independent" | "terminal" | "zero-based", characteristic: Characteristic): FigureId =>
  characteristic === "linear" ? `linearity-${kind}` : `conformity-${kind}`;
