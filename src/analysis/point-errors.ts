import type { StagePoint } from "../readings/stage-point.ts";
import { mA } from "../vocabulary/quantities.ts";
import { idealOutput, spanOf, type Transfer } from "../vocabulary/signal-range.ts";
import type { PointError } from "./analysis.ts";

/** Pressures at which the output cannot go on: what hides an error behind a stop. */
export interface OutputStops {
  /** The lowest pressure the output can have, in the mode of the range; null when it is not known. */
  readonly lowest_kPa: number | null;
  /** Supply pressure, for points whose reading does not bring its own; null when it is not known. */
  readonly supply_kPa: number | null;
  /** Closer to the lowest pressure than this, the output counts as standing at the stop. % of output span. */
  readonly lowest_margin_percent: number;
  /** The same at the supply; wider, because a relay stops some way below its supply. % of output span. */
  readonly supply_margin_percent: number;
}

/**
 * An output vents to the room, so it cannot fall below 0 kPa gauge; against vacuum or another port the lowest pressure
 * is not known here. Margins: common practice, no source.
 */
export const defaultStops = (transfer: Transfer): OutputStops => ({
  lowest_kPa: transfer.output.mode === "gauge" ? 0 : null,
  supply_kPa: null,
  lowest_margin_percent: 0.02,
  supply_margin_percent: 0.5,
});

/**
 * Error of each reading: output minus ideal output at the current that was really applied (measured, where a meter
 * read it). Moving a reading along the ideal characteristic to its nominal current does not change its error.
 */
export const pointErrors = (
  points: readonly StagePoint[],
  transfer: Transfer,
  stops: OutputStops,
): readonly PointError[] => {
  const span = spanOf(transfer.output);
  return points
    .toSorted((a, b) => a.ordinal - b.ordinal)
    .map((p): PointError => {
      const ideal = idealOutput(transfer, mA(p.applied_mA));
      const error = p.output_kPa - ideal;
      return {
        ordinal: p.ordinal,
        cycle: p.cycle,
        direction: p.direction,
        nominal_percent: p.nominal_percent,
        nominal_mA: p.nominal_mA,
        applied_mA: p.applied_mA,
        applied_from: p.applied_from,
        ideal_kPa: ideal,
        output_kPa: p.output_kPa,
        error_kPa: error,
        error_percent_span: (100 * error) / span,
        error_percent_reading: ideal === 0 ? null : (100 * error) / ideal,
        output_at_nominal_kPa: idealOutput(transfer, mA(p.nominal_mA)) + error,
        clipped: clippedAt(p, span, stops),
      };
    });
};

const clippedAt = (p: StagePoint, span_kPa: number, stops: OutputStops): PointError["clipped"] => {
  const supply = p.supply_kPa ?? stops.supply_kPa;
  if (supply !== null && p.output_kPa >= supply - (stops.supply_margin_percent / 100) * span_kPa) return "at-supply";
  if (stops.lowest_kPa !== null && p.output_kPa <= stops.lowest_kPa + (stops.lowest_margin_percent / 100) * span_kPa) {
    return "at-zero";
  }
  return "none";
};
