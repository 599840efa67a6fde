import type { Direction } from "../vocabulary/reading.ts";
import type { CapturedPoint } from "./run-record.ts";

/** One reading of the output at one point: all that the analysis asks for, wherever the reading comes from. */
export interface StagePoint {
  readonly ordinal: number;
  readonly cycle: number;
  readonly direction: Direction;
  readonly nominal_percent: number;
  readonly nominal_mA: number;
  /** Current that was really applied, and who says so. */
  readonly applied_mA: number;
  readonly applied_from: "measured" | "commanded";
  readonly output_kPa: number;
  /** Supply pressure at the reading; null when nobody measured it. */
  readonly supply_kPa: number | null;
}

/** Points of a recorded stage. The current by the independent meter goes before the current that the source claims. */
export const stagePoints = (points: readonly CapturedPoint[]): readonly StagePoint[] =>
  points.map((p) => ({
    ordinal: p.ordinal,
    cycle: p.cycle,
    direction: p.direction,
    nominal_percent: p.nominal_percent,
    nominal_mA: p.nominal_mA,
    applied_mA: p.measured_mA ?? p.commanded_mA,
    applied_from: p.measured_mA === null ? "commanded" : "measured",
    output_kPa: p.output_kPa,
    supply_kPa: p.supply_kPa,
  }));
