import type { AnalysisOptions } from "../../src/analysis/analyse-stage.ts";
import { analyseStage } from "../../src/analysis/analyse-stage.ts";
import { type FigureId, figure, type StageAnalysis } from "../../src/analysis/analysis.ts";
import type { StagePoint } from "../../src/readings/stage-point.ts";
import { kPa, mA } from "../../src/vocabulary/quantities.ts";
import type { Direction } from "../../src/vocabulary/reading.ts";
import { idealOutput, percentOf, type Transfer } from "../../src/vocabulary/signal-range.ts";

/** A unit with a plain range; differential unless the test is about the stop at zero pressure. */
export const unitOf = (
  input: readonly [number, number],
  output: readonly [number, number],
  more: Partial<Pick<Transfer, "action" | "characteristic">> & { readonly mode?: Transfer["output"]["mode"] } = {},
): Transfer => ({
  input: { lower_mA: mA(input[0]), upper_mA: mA(input[1]) },
  output: { lower_kPa: kPa(output[0]), upper_kPa: kPa(output[1]), unit: "kPa", mode: more.mode ?? "differential" },
  action: more.action ?? "direct",
  characteristic: more.characteristic ?? "linear",
});

export const PLAIN = unitOf([4, 20], [20, 100], { mode: "gauge" });

export interface Taken {
  readonly cycle: number;
  readonly direction: Direction;
  readonly input_mA: number;
  readonly output_kPa: number;
}

/** Readings in the order they were taken, the input measured and equal to the nominal one. */
export const pointsOf = (unit: Transfer, readings: readonly Taken[]): readonly StagePoint[] =>
  readings.map((r, index) => ({
    ordinal: index + 1,
    cycle: r.cycle,
    direction: r.direction,
    nominal_percent: percentOf(unit.output, idealOutput(unit, mA(r.input_mA))),
    nominal_mA: r.input_mA,
    applied_mA: r.input_mA,
    applied_from: "measured",
    output_kPa: r.output_kPa,
    supply_kPa: null,
  }));

/** One cycle up and one down over the same inputs. */
export const upAndDown = (
  unit: Transfer,
  applied: readonly number[],
  up: readonly number[],
  down: readonly number[],
): readonly StagePoint[] =>
  pointsOf(unit, [
    ...applied.map((input_mA, i) => taken("rising", input_mA, up[i])),
    ...applied.map((input_mA, i) => taken("falling", input_mA, down[i])).toReversed(),
  ]);

const taken = (direction: Direction, input_mA: number, output_kPa: number | undefined): Taken => ({
  cycle: 1,
  direction,
  input_mA,
  output_kPa: output_kPa ?? Number.NaN,
});

export const analysed = (
  points: readonly StagePoint[],
  unit: Transfer,
  options: Partial<AnalysisOptions> = {},
): StageAnalysis => {
  const result = analyseStage(points, unit, { stage: "as-found", ...options });
  if (!result.ok) throw new Error(result.fault.message);
  return result.value;
};

export const valueIn = (analysis: StageAnalysis, id: FigureId): number => {
  const found = figure(analysis, id);
  if (found === undefined) throw new Error(`no ${id} in ${analysis.figures.map((f) => f.id).join(", ")}`);
  return found.value;
};

/** Output of a made-up unit: ideal plus an error in % of span that depends on where and from which side. */
export const cyclesOf = (
  unit: Transfer,
  cycles: number,
  percents: readonly number[],
  error: (percent: number, direction: Direction, cycle: number) => number,
): readonly StagePoint[] => {
  const span = unit.output.upper_kPa - unit.output.lower_kPa;
  const rows: StagePoint[] = [];
  for (let cycle = 1; cycle <= cycles; cycle += 1) {
    const order = [
      ...percents.map((percent) => ({ percent, direction: "rising" as const })),
      ...percents.toReversed().map((percent) => ({ percent, direction: "falling" as const })),
    ];
    for (const { percent, direction } of order) {
      const share = unit.action === "direct" ? percent / 100 : 1 - percent / 100;
      const inputShare = unit.characteristic === "linear" ? share : share ** 2;
      const input = unit.input.lower_mA + inputShare * (unit.input.upper_mA - unit.input.lower_mA);
      rows.push({
        ordinal: rows.length + 1,
        cycle,
        direction,
        nominal_percent: percent,
        nominal_mA: input,
        applied_mA: input,
        applied_from: "measured",
        output_kPa: unit.output.lower_kPa + ((percent + error(percent, direction, cycle)) / 100) * span,
        supply_kPa: null,
      });
    }
  }
  return rows;
};

export const TENTHS = [0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100];
