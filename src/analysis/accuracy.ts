import type { Figure } from "./analysis.ts";
import { type ErrorCurves, largest, nominalAbscissa } from "./error-curves.ts";
import { minimaxLineThrough } from "./minimax-line.ts";
import { IEC_61298_2, ISA_51_1_READ, RETURN_TO_ZERO, STATIC_ERROR_BAND } from "./sources.ts";
import { mean } from "./statistics.ts";

/** Less than this (% of span) is rounding and occurs nowhere in particular. */
const TINY = 1e-9;

/** What was seen in the whole stage: every reading counts, also one at a stop. */
export const accuracyFigures = (curves: ErrorCurves): readonly Figure[] => {
  const { points } = curves;
  const figures: Figure[] = [];
  const positive = largest(points, (p) => Math.max(0, p.error_percent_span));
  const negative = largest(points, (p) => Math.min(0, p.error_percent_span));
  const worst = largest(points, (p) => p.error_percent_span);
  if (positive === null || negative === null || worst === null) return [];
  figures.push(
    {
      id: "measured-accuracy-positive",
      name: "Measured accuracy, largest positive error",
      value: positive.value,
      unit: "%span",
      definition:
        "largest positive error of a single reading, all cycles and both directions; 0 when no error is positive",
      source: ISA_51_1_READ,
      ...(positive.value > TINY ? { at_percent: positive.item.nominal_percent } : {}),
    },
    {
      id: "measured-accuracy-negative",
      name: "Measured accuracy, largest negative error",
      value: negative.value,
      unit: "%span",
      definition:
        "largest negative error of a single reading, all cycles and both directions; 0 when no error is negative",
      source: ISA_51_1_READ,
      ...(negative.value < -TINY ? { at_percent: negative.item.nominal_percent } : {}),
    },
    {
      id: "inaccuracy",
      name: "Inaccuracy",
      value: worst.value,
      unit: "%span",
      definition:
        "error of the single reading that lies farthest from ideal, with its sign, all cycles and both directions",
      source: IEC_61298_2,
      at_percent: worst.item.nominal_percent,
    },
  );
  const branchMeans = curves.nominal_percents.flatMap((percent) =>
    (["rising", "falling"] as const).flatMap((direction) => {
      const cells = curves.cells.filter((c) => c.nominal_percent === percent && c.direction === direction);
      return cells.length === 0 ? [] : [{ percent, value: mean(cells.map((c) => c.error_percent)) }];
    }),
  );
  const measured = largest(branchMeans, (b) => b.value);
  if (measured !== null) {
    figures.push({
      id: "maximum-measured-error",
      name: "Maximum measured error",
      value: measured.value,
      unit: "%span",
      definition:
        "largest by magnitude of the mean errors, taken at each point over the cycles for rising and for falling readings apart, with its sign",
      source: IEC_61298_2,
      at_percent: measured.item.percent,
    });
  }
  figures.push(...returnToZero(curves), ...staticErrorBand(curves));
  return figures;
};

const returnToZero = (curves: ErrorCurves): readonly Figure[] => {
  const atZero = curves.points.filter((p) => Math.abs(p.nominal_percent) < 1e-6);
  const before = atZero.find((p) => p.direction === "rising");
  const after = atZero.findLast((p) => p.direction === "falling");
  if (before === undefined || after === undefined || after.ordinal <= before.ordinal) return [];
  if (before.clipped !== "none" || after.clipped !== "none") return [];
  return [
    {
      id: "return-to-zero",
      name: "Return to zero",
      value: after.error_percent_span - before.error_percent_span,
      unit: "%span",
      definition: "last falling reading at 0 % of output span minus first rising reading there",
      source: RETURN_TO_ZERO,
      at_percent: 0,
    },
  ];
};

const staticErrorBand = (curves: ErrorCurves): readonly Figure[] => {
  const plane = curves.points
    .filter((p) => p.clipped === "none")
    .map((p) => ({ x: nominalAbscissa(curves.transfer, p), y: p.error_percent_span, percent: p.nominal_percent }));
  const line = minimaxLineThrough({ x: 0, y: 0 }, plane);
  if (line === null) return [];
  const at = plane.find((p) => p.x === line.at_x);
  return [
    {
      id: "static-error-band",
      name: "Static error band",
      value: line.max_deviation,
      unit: "%span",
      definition:
        "largest deviation of any single reading, rising or falling, from the straight line that starts at the ideal lower end and makes this deviation as small as possible",
      source: STATIC_ERROR_BAND,
      ...(at === undefined ? {} : { at_percent: at.percent }),
    },
  ];
};
