import type { DataRow } from "../readings/plain-data.ts";
import { mean } from "./statistics.ts";

/** What was read at one x, over all cycles. */
export interface PlainLevel {
  readonly x: number;
  readonly rising: number | null;
  readonly falling: number | null;
  /** Mean of rising and falling; of the one that there is. */
  readonly mean: number;
  readonly falling_minus_rising: number | null;
}

/** In order of x. The trade averages rising and falling means, however many readings are in each. */
export const levelsOf = (
  points: readonly { readonly x: number; readonly y: number; readonly direction: DataRow["direction"] }[],
) =>
  [...new Set(points.map((p) => p.x))]
    .toSorted((a, b) => a - b)
    .map((x): PlainLevel => {
      const meanOf = (direction: DataRow["direction"]): number | null => {
        const ys = points.filter((p) => p.x === x && p.direction === direction).map((p) => p.y);
        return ys.length === 0 ? null : mean(ys);
      };
      const [rising, falling, undirected] = [meanOf("rising"), meanOf("falling"), meanOf(null)];
      const branches = [rising, falling, undirected].filter((b) => b !== null);
      return {
        x,
        rising,
        falling,
        mean: mean(branches),
        falling_minus_rising: rising === null || falling === null ? null : falling - rising,
      };
    });
