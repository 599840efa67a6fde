import { tickDigits, ticks } from "../../replay-window.ts";
import type { RunView } from "./run-view.ts";

/** Error against input in plain characters. */

const MARGIN = 9;
const ROWS = 15;

export interface PlotPoint {
  /** Input, % of span. */
  readonly x: number;
  /** Error, % of span. */
  readonly y: number;
  readonly mark: string;
}

interface Limit {
  readonly x: number;
  readonly limit: number;
}

const gutter = (text: string): string => `${text.padStart(MARGIN - 1)} `;

/** Points over limits; where two points fall on one place, `*`. */
export const errorPlot = (points: readonly PlotPoint[], limits: readonly Limit[], width = 80): readonly string[] => {
  if (points.length === 0) return [];
  const columns = Math.max(20, Math.min(width, 110) - MARGIN - 1);
  const reach = Math.max(...points.map((p) => Math.abs(p.y)), ...limits.map((l) => l.limit), 1e-9) * 1.1;
  const xs = [...points, ...limits].map((p) => p.x);
  const [low, high] = [Math.min(0, ...xs), Math.max(100, ...xs)];
  const column = (x: number): number => Math.round(((x - low) / (high - low)) * (columns - 1));
  const row = (y: number): number => Math.round(((reach - y) / (2 * reach)) * (ROWS - 1));
  const grid = Array.from({ length: ROWS }, () => Array.from({ length: columns }, () => " "));
  const put = (x: number, y: number, mark: string): void => {
    const line = grid[y];
    const before = line?.[x];
    if (line !== undefined && before !== undefined) line[x] = /[ .\-=]/u.test(before) || before === mark ? mark : "*";
  };
  grid[row(0)]?.fill("-");
  // Limits between the points as straight lines: what is allowed there follows the output.
  const sorted = limits.toSorted((a, b) => a.x - b.x);
  for (let c = 0; c < columns; c += 2) {
    const x = low + (c / (columns - 1)) * (high - low);
    const [left, right] = [sorted.findLast((l) => l.x <= x), sorted.find((l) => l.x >= x)];
    if (left === undefined || right === undefined) continue;
    const share = right.x === left.x ? 0 : (x - left.x) / (right.x - left.x);
    const limit = left.limit + share * (right.limit - left.limit);
    put(c, row(limit), "=");
    put(c, row(-limit), "=");
  }
  for (const p of points) put(column(p.x), row(p.y), p.mark);
  const at = ticks({ low: -reach, high: reach }, ROWS / 3);
  const labels = new Map(at.map((value) => [row(value), value.toFixed(tickDigits(at))]));
  const below = Array.from({ length: columns + 4 }, () => " ");
  for (const x of [0, 25, 50, 75, 100]) {
    const text = String(x);
    [...text].forEach((c, i) => {
      below[Math.max(0, column(x) - Math.floor(text.length / 2)) + i] = c;
    });
  }
  return [
    ...grid.map((line, r) => `${gutter(labels.get(r) ?? "")}${labels.has(r) ? "+" : "|"}${line.join("")}`.trimEnd()),
    `${gutter("input, %")} ${below.join("").trimEnd()}`,
  ];
};

/** The points of one stage of a run, with its limits. */
export const stagePlot = (result: RunView["stages"][number]["result"], width: number): readonly string[] => {
  const { points, span_kPa } = result.analysis;
  return [
    "Error, % of span",
    ...errorPlot(
      points.map((p) => ({
        x: p.nominal_percent,
        y: p.error_percent_span,
        mark: p.direction === "rising" ? "o" : "x",
      })),
      result.verdict.points.flatMap((v) => {
        const point = points.find((p) => p.ordinal === v.ordinal);
        return point === undefined ? [] : [{ x: point.nominal_percent, limit: (100 * v.limit_kPa) / span_kPa }];
      }),
      width,
    ),
    "o rising  x falling  * both  = limit",
  ];
};
