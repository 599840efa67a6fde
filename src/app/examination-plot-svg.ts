import type { ExaminationPlot, PlotSeries } from "./examination-plot.ts";
import { windowOf } from "./plot-window.ts";
import { tickDigits, ticks } from "./replay-window.ts";
import { wrapped } from "./text-table.ts";

/** Black and greys only; lengths in pixels. */
const WIDTH = 800;
const LEFT = 80;
const RIGHT = 780;
const HEIGHT = 300;
const TOP = 36;
const BOTTOM = 250;
/** Characters of the heading in a line. */
const HEADING = 88;

const escaped = (text: string): string =>
  text.replace(/[&<>"]/gu, (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[c] ?? c);
const n = (value: number): string => String(Number(value.toFixed(2)));
const label = (x: number, y: number, words: string, more = ""): string =>
  `<text x="${n(x)}" y="${n(y)}" ${more}>${escaped(words)}</text>`;

const NAMES = ["line", "broken line", "dotted line", "dashes and dots"] as const;
const DASHES = ["", 'stroke-dasharray="8 4"', 'stroke-dasharray="2 4"', 'stroke-dasharray="10 3 2 3"'] as const;

/** Lines count for themselves: the first one is drawn through, whatever dots come before it. */
const styleOf = (plot: ExaminationPlot, series: PlotSeries): number =>
  plot.series.filter((s) => s.kind === "line").indexOf(series);

const drawn = (plot: ExaminationPlot, top: number): readonly string[] => {
  const { x, y } = windowOf(plot);
  const px = (v: number): number => LEFT + ((v - x[0]) / (x[1] - x[0])) * (RIGHT - LEFT);
  const py = (v: number): number => top + BOTTOM - ((v - y[0]) / (y[1] - y[0])) * (BOTTOM - TOP);
  const [alongX, alongY] = [ticks({ low: x[0], high: x[1] }, 8), ticks({ low: y[0], high: y[1] }, 5)];
  const [digitsX, digitsY] = [tickDigits(alongX), tickDigits(alongY)];
  const marked = [
    ...alongX.flatMap((v) => [
      `<path d="M${n(px(v))} ${n(top + BOTTOM)}v5" stroke="#000"/>`,
      label(px(v), top + BOTTOM + 18, v.toFixed(digitsX), 'text-anchor="middle"'),
    ]),
    ...alongY.flatMap((v) => [
      `<path d="M${LEFT - 5} ${n(py(v))}h5" stroke="#000"/>`,
      label(LEFT - 8, py(v) + 4, v.toFixed(digitsY), 'text-anchor="end"'),
    ]),
  ];
  const one = (s: PlotSeries): string =>
    s.kind === "dots"
      ? s.points.map(([a, b]) => `<circle cx="${n(px(a))}" cy="${n(py(b))}" r="1.6" fill="#777"/>`).join("")
      : `<path d="${s.points.map(([a, b], k) => `${k === 0 ? "M" : "L"}${n(px(a))} ${n(py(b))}`).join("")}" fill="none" stroke="#000" stroke-width="1.4" ${DASHES[styleOf(plot, s) % 4]}/>`;
  const names = plot.series.map((s) => `${s.kind === "dots" ? "dots" : NAMES[styleOf(plot, s) % 4]}: ${s.name}`);
  return [
    label(LEFT, top + 18, `${plot.title}   (${names.join("; ")})`, 'font-weight="bold"'),
    `<rect x="${LEFT}" y="${top + TOP}" width="${RIGHT - LEFT}" height="${BOTTOM - TOP}" fill="none" stroke="#000"/>`,
    ...marked,
    label((LEFT + RIGHT) / 2, top + BOTTOM + 36, plot.x, 'text-anchor="middle"'),
    label(
      16,
      top + (TOP + BOTTOM) / 2,
      plot.y,
      `text-anchor="middle" transform="rotate(-90 16 ${n(top + (TOP + BOTTOM) / 2)})"`,
    ),
    ...plot.series.map(one),
  ];
};

/** All plots of a test under each other. `heading`: the unit, the test and whether it is SIMULATED. */
export const plotsSvg = (plots: readonly ExaminationPlot[], heading: string): string => {
  const lines = wrapped(heading, "", HEADING);
  const top = 22 + 20 * lines.length;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${WIDTH}" height="${top + HEIGHT * plots.length}" font-family="sans-serif" font-size="12">`,
    `<title>${escaped(heading)}</title>`,
    '<rect width="100%" height="100%" fill="#fff"/>',
    ...lines.map((line, i) => label(LEFT, 24 + 20 * i, line, 'font-size="14"')),
    ...plots.flatMap((plot, i) => drawn(plot, top + HEIGHT * i)),
    "</svg>",
    "",
  ].join("\n");
};
