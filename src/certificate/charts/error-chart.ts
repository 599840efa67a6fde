import type { Direction } from "../../vocabulary/reading.ts";
import type { SectionContext, ShownStage } from "../sections/section-context.ts";
import type { Axis, ChartData, ChartLine, ChartSeries } from "./chart-data.ts";
import { niceTicks } from "./nice-ticks.ts";

export const valueAxis = (context: SectionContext, label: string, low: number, high: number, wanted: number): Axis => {
  const ticks = niceTicks(low, high, wanted);
  return {
    label,
    min: ticks.min,
    max: ticks.max,
    ticks: ticks.texts.map((text) => ({ at: Number(text), text: context.print.number(text) })),
  };
};

/** The same scale read as % of span: its ticks stand at round percentages inside the range of the left axis. */
export const percentAxis = (context: SectionContext, label: string, left: Axis, span_kPa: number): Axis => {
  const percent = (kPa: number) => (100 * kPa) / span_kPa;
  const ticks = niceTicks(percent(left.min), percent(left.max), 6);
  return {
    label,
    min: percent(left.min),
    max: percent(left.max),
    ticks: ticks.texts
      .map((text) => ({ at: Number(text), text: context.print.number(text) }))
      .filter((t) => t.at >= percent(left.min) - 1e-9 && t.at <= percent(left.max) + 1e-9),
  };
};

export const inputAxis = (context: SectionContext): Axis => {
  const { lower, upper } = context.input.unit.input;
  const margin = 0.04 * (upper.mA - lower.mA);
  const ticks = niceTicks(lower.mA, upper.mA, 8);
  return {
    label: context.texts.inputAxis,
    min: lower.mA - margin,
    max: upper.mA + margin,
    ticks: ticks.texts.map((text) => ({ at: Number(text), text: context.print.number(text) })),
  };
};

/** Mean over the cycles at each nominal input, in order of input. */
export const meanByInput = <T extends { readonly nominal_mA: number }>(
  points: readonly T[],
  value: (p: T) => number,
): readonly (readonly [number, number])[] => {
  const groups = new Map<number, number[]>();
  for (const p of points) groups.set(p.nominal_mA, [...(groups.get(p.nominal_mA) ?? []), value(p)]);
  return [...groups.entries()]
    .sort((a, b) => a[0] - b[0])
    .map(([x, values]) => [x, values.reduce((sum, v) => sum + v, 0) / values.length] as const);
};

/** A line over inputs in pieces: it does not run on over an input at which nothing was read. */
export const inPieces = (
  line: readonly (readonly [number, number])[],
  gaps: readonly number[],
): readonly (readonly (readonly [number, number])[])[] => {
  const pieces: (readonly [number, number])[][] = [];
  let last: number | null = null;
  for (const point of line) {
    const from = last;
    const broken = from === null || gaps.some((gap) => gap > from && gap < point[0]);
    if (broken) pieces.push([point]);
    else pieces.at(-1)?.push(point);
    last = point[0];
  }
  return pieces;
};

/** Inputs of the plan that gave no reading in this stage, in this direction or in either. */
export const unreadInputs = ({ input }: SectionContext, shown: ShownStage, direction?: Direction): readonly number[] =>
  (input.record.stages.findLast((s) => s.stage === shown.stage)?.missing ?? [])
    .filter((p) => direction === undefined || p.direction === direction)
    .map((p) => p.nominal_mA);

const NUDGE: Readonly<Record<Direction, number>> = { rising: -2.2, falling: 2.2 };

/** Error with U bars over the input, with the limit and the guard band. Positions are unrounded; tick texts are finished. */
export const errorChart = (context: SectionContext, shown: ShownStage): ChartData => {
  const { texts, print } = context;
  const { analysis, uncertainties, verdict } = shown.result;
  const U = (ordinal: number) => uncertainties.find((u) => u.ordinal === ordinal)?.U_kPa;
  const series = (["rising", "falling"] as const).map((direction): ChartSeries => {
    const points = analysis.points.filter((p) => p.direction === direction);
    return {
      name: direction === "rising" ? texts.risingLegend : texts.fallingLegend,
      marker: direction === "rising" ? "filled-up" : "open-down",
      nudge: NUDGE[direction],
      points: points.map((p) => {
        const bar = U(p.ordinal);
        return { x: p.nominal_mA, y: p.error_kPa, ...(bar === undefined ? {} : { bar }) };
      }),
    };
  });
  const joins = (["rising", "falling"] as const).flatMap((direction): readonly ChartLine[] => {
    const mean = meanByInput(
      analysis.points.filter((p) => p.direction === direction),
      (p) => p.error_kPa,
    );
    return inPieces(mean, unreadInputs(context, shown, direction)).map((points) => ({
      name: null,
      style: direction === "rising" ? "solid" : "dashed",
      nudge: NUDGE[direction],
      points,
    }));
  });
  const limits = verdict.points.flatMap((v) => {
    const p = analysis.points.find((q) => q.ordinal === v.ordinal);
    return p === undefined
      ? []
      : [{ nominal_mA: p.nominal_mA, limit: v.limit_kPa, acceptance: v.acceptance_kPa ?? v.limit_kPa }];
  });
  const limitLine = meanByInput(limits, (l) => l.limit);
  const acceptanceLine = meanByInput(limits, (l) => Math.max(0, l.acceptance ?? 0));
  const guarded = limitLine.some(([, y], i) => Math.abs(y - (acceptanceLine[i]?.[1] ?? y)) > 1e-12);
  const mirrored = (line: typeof limitLine) => line.map(([x, y]) => [x, -y] as const);
  const extent = Math.max(
    ...limitLine.map(([, y]) => y),
    ...analysis.points.map((p) => Math.abs(p.error_kPa) + (U(p.ordinal) ?? 0)),
    1e-9,
  );
  const y = valueAxis(context, texts.errorAxis("kPa"), -1.06 * extent, 1.06 * extent, 8);
  const bands = [1, -1].map((side) => ({
    name: side === 1 ? texts.guardLegend : null,
    points: limitLine.map(([x, limit], i) => {
      const inner = acceptanceLine[i]?.[1] ?? limit;
      return { x, lower: side * (side === 1 ? inner : limit), upper: side * (side === 1 ? limit : inner) };
    }),
  }));
  const worst = shown.rounded.worst;
  return {
    id: `error-${shown.stage}`,
    title: texts.errorChart(shown.title),
    alternative: texts.errorChartAlternative(
      shown.title,
      analysis.points.length,
      worst === null ? "–" : print.quantity(worst.in_kPa.error, "kPa"),
      worst === null || worst.in_kPa.limit === null ? "–" : print.plusMinus(print.quantity(worst.in_kPa.limit, "kPa")),
    ),
    x: inputAxis(context),
    y,
    yRight: percentAxis(context, texts.errorAxisPercent, y, analysis.span_kPa),
    bands: guarded ? bands : [],
    lines: [
      { name: texts.limitLegend, style: "heavy", points: limitLine, nudge: 0 },
      { name: null, style: "heavy", points: mirrored(limitLine), nudge: 0 },
      ...joins,
    ],
    series: series.filter((s) => s.points.length > 0),
    barLegend: uncertainties.length > 0 ? texts.barLegend : null,
    height: 186,
  };
};
