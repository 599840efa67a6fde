import { fittedLine } from "./line-fit.ts";
import { mean, type Trace } from "./trace.ts";

/** An output read at rest with the supply at some pressure. */
export interface AtSupply {
  readonly supply_kPa: number;
  readonly input_percent: number;
  readonly output_percent: number;
}

export interface SupplyInfluence {
  /** Change of the output for 10 kPa more supply, % of span, at the input where it is greatest. */
  readonly percent_per_10_kPa: number;
  readonly at_percent: number;
  /** Lowest supply tried at which full output still stood; null where full output was not tried at several. */
  readonly lowest_full_kPa: number | null;
}

/** Full output has given way when it is this much lower than at the highest supply, % of span. */
const GIVEN_WAY = 1;

/** Supply and output at the end of a watched hold. */
export const atSupply = (trace: Trace, toPercent: (kPa: number) => number): AtSupply | null => {
  const end_s = trace.samples.at(-1)?.t_s ?? 0;
  const late = trace.samples.filter((s) => s.t_s > end_s - 3).map((s) => toPercent(s.kPa));
  const supply = trace.supply.filter((s) => s.t_s > end_s - 5).map((s) => s.kPa);
  return late.length === 0 || supply.length === 0
    ? null
    : { supply_kPa: mean(supply), input_percent: trace.to_percent, output_percent: mean(late) };
};

/** Influence of the supply by least squares at each input, of those readings at which the output had not given way. */
export const supplyInfluence = (readings: readonly AtSupply[]): SupplyInfluence | null => {
  const inputs = [...new Set(readings.map((r) => r.input_percent))];
  let [steepest, at] = [0, Number.NaN];
  for (const input of inputs) {
    const here = readings.filter((r) => r.input_percent === input);
    const top = Math.max(...here.map((r) => r.supply_kPa));
    const full = here.find((r) => r.supply_kPa === top)?.output_percent ?? 0;
    const held = here.filter((r) => Math.abs(r.output_percent - full) < GIVEN_WAY || input < 95);
    const line = fittedLine(held.map((r) => ({ y: r.output_percent, x: [1, r.supply_kPa] })));
    const slope = line?.values[1] ?? 0;
    if (Number.isNaN(at) || Math.abs(slope) > Math.abs(steepest)) [steepest, at] = [slope, input];
  }
  if (Number.isNaN(at)) return null;
  const top = Math.max(...inputs);
  const full = readings.filter((r) => r.input_percent === top).toSorted((a, b) => b.supply_kPa - a.supply_kPa);
  const best = full[0];
  let lowest: number | null = null;
  if (best !== undefined && full.length > 1) {
    for (const r of full) {
      if (r.output_percent < best.output_percent - GIVEN_WAY) break;
      lowest = r.supply_kPa;
    }
  }
  return { percent_per_10_kPa: 10 * steepest, at_percent: at, lowest_full_kPa: lowest };
};

/** How far the supply falls while the unit fills after a step up, kPa; null where nobody measured it. */
export const droop_kPa = (trace: Trace): number | null => {
  const before = trace.supply.filter((s) => s.t_s <= 0).map((s) => s.kPa);
  const during = trace.supply.filter((s) => s.t_s > 0).map((s) => s.kPa);
  return before.length === 0 || during.length === 0 ? null : mean(before) - Math.min(...during);
};

/** Shift of the output between two mounting positions at one input, % of span. */
export const mountingShift = (upright: AtPosition, other: AtPosition): number =>
  other.output_percent - upright.output_percent;

export interface AtPosition {
  readonly position: string;
  readonly output_percent: number;
}
