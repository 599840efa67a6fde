import type { ExaminationPlot } from "./examination-plot.ts";
import { axisText, windowOf } from "./plot-window.ts";

const MARKS = ["o", "x", "+", "#"] as const;
const ROWS = 14;

/** A plot for a terminal: one sign a series, readings over lines. `width` in characters, all in. */
export const plotText = (plot: ExaminationPlot, width: number): readonly string[] => {
  const { x, y } = windowOf(plot);
  const labels = [axisText(y[1], y), axisText((y[0] + y[1]) / 2, y), axisText(y[0], y)];
  const margin = Math.max(...labels.map((l) => l.length));
  const columns = Math.max(20, width - margin - 3);
  const grid = Array.from({ length: ROWS }, () => Array.from({ length: columns }, () => " "));
  const put = (px: number, py: number, mark: string): void => {
    const column = Math.round(((px - x[0]) / (x[1] - x[0])) * (columns - 1));
    const row = Math.round(((y[1] - py) / (y[1] - y[0])) * (ROWS - 1));
    const cells = grid[row];
    if (cells?.[column] !== undefined) cells[column] = mark;
  };
  const marks = plot.series.map((s, i) => (s.kind === "line" && plot.series.length > 1 ? "." : (MARKS[i % 4] ?? "o")));
  const many = plot.series.filter((s) => s.kind === "line").length > 1;
  const markOf = (i: number): string => (many ? (MARKS[i % 4] ?? "o") : (marks[i] ?? "o"));
  // Lines first: what was read stands over what was fitted.
  for (const kind of ["line", "dots"] as const)
    plot.series.forEach((s, i) => {
      if (s.kind === kind) for (const [px, py] of s.points) put(px, py, markOf(i));
    });
  const left = (row: number): string =>
    (row === 0 ? labels[0] : row === ROWS - 1 ? labels[2] : row === ROWS >> 1 ? labels[1] : "")?.padStart(margin) ?? "";
  const [from, to] = [axisText(x[0], x), axisText(x[1], x)];
  const gap = Math.max(1, columns - from.length - to.length - plot.x.length);
  const half = gap >> 1;
  return [
    `${plot.title}: ${plot.y}   ${plot.series.map((s, i) => `${markOf(i)} ${s.name}`).join("   ")}`,
    ...grid.map((cells, row) => `${left(row)} |${cells.join("")}`.trimEnd()),
    `${" ".repeat(margin)} +${"-".repeat(columns)}`,
    `${" ".repeat(margin + 2)}${from}${" ".repeat(half)}${plot.x}${" ".repeat(gap - half)}${to}`,
  ];
};
