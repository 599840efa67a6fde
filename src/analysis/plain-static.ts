import type { DataRow } from "../readings/plain-data.ts";
import type { StagePoint } from "../readings/stage-point.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { kPa, mA } from "../vocabulary/quantities.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { idealOutput, percentOf, type Transfer } from "../vocabulary/signal-range.ts";
import { analyseStage } from "./analyse-stage.ts";
import type { Figure, FigureId } from "./analysis.ts";
import { levelsOf, type PlainLevel } from "./plain-levels.ts";
import type { RepeatabilityMethod } from "./repeatability.ts";
import { stageRemarkText } from "./stage-remark.ts";

/** A range from its lower to its upper end; that of y may fall. */
export type Ends = readonly [from: number, to: number];

export interface PlainFigure extends Omit<Figure, "unit" | "at_percent"> {
  readonly unit: "%span" | "%input-span" | "%ideal-slope" | "y/x";
  /** The same in the unit of y, where it is a share of the y span. */
  readonly in_y?: number;
  readonly at_x?: number;
}

export interface PlainError {
  readonly x: number;
  readonly ideal_y: number;
  readonly y: number;
  readonly error: number;
  readonly error_percent_span: number;
}

/** Figures of a static calibration in any units. */
export interface PlainStatic {
  readonly x_range: Ends;
  readonly y_range: Ends;
  /** `observed`: nobody gave the ranges, so shares are of what was seen, and no error against an ideal is stated. */
  readonly ranges: "given" | "observed";
  readonly levels: readonly PlainLevel[];
  readonly figures: readonly PlainFigure[];
  /** Against the ideal line between the ends of the given ranges; empty without them. */
  readonly errors: readonly PlainError[];
  readonly remarks: readonly string[];
}

export interface PlainStaticOptions {
  readonly x_range?: Ends;
  readonly y_range?: Ends;
  readonly repeatability?: RepeatabilityMethod;
  /** Dead band by its own test, % of x range. */
  readonly dead_band?: Figure;
  readonly directed: boolean;
}

/** Figures that need no ideal line: any straight line gives the same. */
const WITHOUT_IDEAL: ReadonlySet<FigureId> = new Set([
  "hysteresis-plus-dead-band",
  "hysteresis-mean",
  "hysteresis",
  "dead-band",
  "linearity-independent",
  "linearity-terminal",
  "linearity-zero-based",
  "deviation-least-squares",
  "repeatability",
  "non-repeatability",
]);

const endsOf = (values: readonly number[]): Ends => [
  values.reduce((a, b) => Math.min(a, b)),
  values.reduce((a, b) => Math.max(a, b)),
];

/** Whether y goes down as x goes up, over all points. */
const falls = (rows: readonly { readonly x: number; readonly y: number }[]): boolean => {
  const mx = rows.reduce((s, r) => s + r.x, 0) / rows.length;
  return rows.reduce((s, r) => s + (r.x - mx) * r.y, 0) < 0;
};

/** Plain numbers take the place of mA and kPa: the figures are shares of the spans and know no unit. */
const transferOf = (x: Ends, y: Ends): Transfer => ({
  input: { lower_mA: mA(x[0]), upper_mA: mA(x[1]) },
  output: { lower_kPa: kPa(Math.min(...y)), upper_kPa: kPa(Math.max(...y)), unit: "kPa", mode: "differential" },
  action: y[1] > y[0] ? "direct" : "reverse",
  characteristic: "linear",
});

const wordsFor = (text: string, given: boolean): string =>
  (given ? text : text.replaceAll(/nominal (output|input) span/gu, "observed $1 span"))
    .replaceAll(/output span/gu, "y span")
    .replaceAll(/input span/gu, "x span")
    .replaceAll("input current", "x");

/**
 * Hysteresis, linearity, repeatability and, with given ranges, the errors of a set of x and y. null when the points
 * cannot carry them (one x only). Sources stand at each figure.
 */
export const plainStatic = (
  rows: readonly DataRow[],
  options: PlainStaticOptions,
): Result<PlainStatic | null, Fault> => {
  const points = rows.map((r) => ({ ...r, x: r.x[0] ?? Number.NaN }));
  const given = options.x_range !== undefined && options.y_range !== undefined;
  const seen = endsOf(points.map((p) => p.y));
  const x = options.x_range ?? endsOf(points.map((p) => p.x));
  const y = options.y_range ?? (falls(points) ? ([seen[1], seen[0]] as const) : seen);
  if (x[0] >= x[1] || y[0] === y[1]) {
    if (!given) return ok(null);
    return err(
      fault("refused", "bad-option", "A range has no width, or that of x falls.", {
        remedy: "Give x from its lower to its upper end; y may fall.",
      }),
    );
  }
  const transfer = transferOf(x, y);
  const stage = points.map(
    (p, i): StagePoint => ({
      ordinal: i + 1,
      cycle: p.cycle,
      direction: p.direction ?? "rising",
      nominal_percent: percentOf(transfer.output, idealOutput(transfer, mA(p.x))),
      nominal_mA: p.x,
      applied_mA: p.x,
      applied_from: "measured",
      output_kPa: p.y,
      supply_kPa: null,
    }),
  );
  const analysis = analyseStage(stage, transfer, {
    stage: "as-found",
    ...(options.repeatability === undefined ? {} : { repeatability: options.repeatability }),
    ...(options.dead_band === undefined ? {} : { dead_band: options.dead_band }),
  });
  if (!analysis.ok) return analysis;
  const span = Math.abs(y[1] - y[0]);
  const xAt = (percent: number): number =>
    points.find((_, i) => Math.abs((stage[i]?.nominal_percent ?? Number.NaN) - percent) < 1e-6)?.x ?? Number.NaN;
  const figures = analysis.value.figures
    .filter((f) => given || WITHOUT_IDEAL.has(f.id))
    .map(
      ({ unit, at_percent, ...f }): PlainFigure => ({
        ...f,
        definition: wordsFor(f.definition, given),
        unit: unit === "%input-span" || unit === "%ideal-slope" || unit === "%span" ? unit : "y/x",
        ...(unit === "%span" ? { in_y: (f.value * span) / 100 } : {}),
        ...(at_percent === undefined || f.id === "dead-band" ? {} : { at_x: xAt(at_percent) }),
      }),
    );
  const remarks = options.directed
    ? analysis.value.remarks
    : [
        "There is no direction column: all values count as one direction, and hysteresis is not stated.",
        ...(analysis.value.keyed_remarks ?? []).filter((r) => r.code !== "one-direction").map(stageRemarkText),
      ];
  return ok({
    x_range: x,
    y_range: y,
    ranges: given ? "given" : "observed",
    levels: levelsOf(points),
    figures,
    errors: given
      ? analysis.value.points.map((p) => ({
          x: p.applied_mA,
          ideal_y: p.ideal_kPa,
          y: p.output_kPa,
          error: p.error_kPa,
          error_percent_span: p.error_percent_span,
        }))
      : [],
    remarks: remarks.map((r) => wordsFor(r, given)),
  });
};
