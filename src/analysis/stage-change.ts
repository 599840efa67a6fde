import type { Direction } from "../vocabulary/reading.ts";
import type { StageAnalysis } from "./analysis.ts";
import { sameLevel } from "./error-curves.ts";
import { mean } from "./statistics.ts";

/** What became of the error at one place between as found and as left; means over the cycles, % of output span. */
export interface PlaceChange {
  readonly nominal_percent: number;
  readonly direction: Direction;
  readonly as_found_percent_span: number;
  readonly as_left_percent_span: number;
  /** As left minus as found. */
  readonly change_percent_span: number;
  readonly change_kPa: number;
}

export interface StageChange {
  readonly places: readonly PlaceChange[];
  /** The largest change, with its sign; null without a common place. */
  readonly largest: PlaceChange | null;
  /** Largest error by size, before and after, with its sign. */
  readonly worst_as_found_percent_span: number;
  readonly worst_as_left_percent_span: number;
}

const worst = ({ points }: StageAnalysis): number =>
  points.reduce((most, p) => (Math.abs(p.error_percent_span) > Math.abs(most) ? p.error_percent_span : most), 0);

/** As found against as left: what the adjustment, or the repair, did. It is no reproducibility. */
export const stageChange = (found: StageAnalysis, left: StageAnalysis): StageChange => {
  const percents = [...new Set(found.points.map((p) => p.nominal_percent))].toSorted((a, b) => a - b);
  const errorAt = (stage: StageAnalysis, percent: number, direction: Direction): number | null => {
    const here = stage.points.filter((p) => sameLevel(p.nominal_percent, percent) && p.direction === direction);
    return here.length === 0 ? null : mean(here.map((p) => p.error_percent_span));
  };
  const places = (["rising", "falling"] as const).flatMap((direction) =>
    percents.flatMap((nominal_percent): readonly PlaceChange[] => {
      const before = errorAt(found, nominal_percent, direction);
      const after = errorAt(left, nominal_percent, direction);
      if (before === null || after === null) return [];
      const change = after - before;
      return [
        {
          nominal_percent,
          direction,
          as_found_percent_span: before,
          as_left_percent_span: after,
          change_percent_span: change,
          change_kPa: (change * found.span_kPa) / 100,
        },
      ];
    }),
  );
  return {
    places,
    largest: places.reduce<PlaceChange | null>(
      (most, p) => (most === null || Math.abs(p.change_kPa) > Math.abs(most.change_kPa) ? p : most),
      null,
    ),
    worst_as_found_percent_span: worst(found),
    worst_as_left_percent_span: worst(left),
  };
};
