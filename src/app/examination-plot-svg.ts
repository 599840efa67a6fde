import type { ExaminationPlot, PlotSeries } from "./examination-plot.ts";
import { axisText, windowOf } from "./plot-window.ts";

/** Black and greys only; lengths in pixels. */
const WIDTH = 800;
const LEFT = 80;
const RIGHT = 780;
const HEIGHT = 300;
const TOP = 36;
const BOTTOM = 250;
const TICKS = 5;

const escaped = (text: string): string =>
  text.replace(/[&<>"]/gu, (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[c] ?? c);
const n = (value: number): string => String(Number(value.toFixed(2)));
const label = (x: number, y: number, words: string, more = ""): string =>
  `<text x="${n(x)}" y="${n(y)}" ${more}>${escaped(words)}</text>`;

const DASHES = ["", 'stroke-dasharray="8 4"', 'stroke-dasharray="2 4"', 'stroke-dasharray="10 3 2 3"'] as const;

const drawn = (plot: ExaminationPlot, top: number): readonly string[] => {
  const { x, y } = windowOf(plot);
  const px = (v: number): number => LEFT + ((v - x[0]) / (x[1] - x[0])) * (RIGHT - LEFT);
  const py = (v: number): number => top + BOTTOM - ((v - y[0]) / (y[1] - y[0])) * (BOTTOM - TOP);
  const at = (i: number, [least, most]: readonly [number, number]): number =>
    least + (i / (TICKS - 1)) * (most - least);
  const ticks = Array.from({ length: TICKS }, (_, i) => i).flatMap((i) => [
    `<path d="M${n(px(at(i, x)))} ${n(top + BOTTOM)}v5M${LEFT - 5} ${n(py(at(i, y)))}h5" stroke="#000"/>`,
    label(px(at(i, x)), top + BOTTOM + 18, axisText(at(i, x), x), 'text-anchor="middle"'),
    label(LEFT - 8, py(at(i, y)) + 4, axisText(at(i, y), y), 'text-anchor="end"'),
  ]);
  const one = (s: PlotSeries, i: number): string =>
    s.kind === "dots"
      ? s.points.map(([a, b]) => `<circle cx="${n(px(a))}" cy="${n(py(b))}" r="1.6" fill="#777"/>`).join("")
      : `<path d="${s.points.map(([a, b], k) => `${k === 0 ? "M" : "L"}${n(px(a))} ${n(py(b))}`).join("")}" fill="none" stroke="#000" stroke-width="1.4" ${DASHES[i % 4]}/>`;
  const names = plot.series.map(
    (s, i) =>
      `${s.kind === "dots" ? "dots" : i % 4 === 0 || plot.series.length < 3 ? "line" : "broken line"}: ${s.name}`,
  );
  return [
    label(LEFT, top + 18, `${plot.title}   (${names.join("; ")})`, 'font-weight="bold"'),
    `<rect x="${LEFT}" y="${top + TOP}" width="${RIGHT - LEFT}" height="${BOTTOM - TOP}" fill="none" stroke="#000"/>`,
    ...ticks,
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
export const plotsSvg = (plots: readonly ExaminationPlot[], heading: string): string =>
  [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${WIDTH}" height="${40 + HEIGHT * plots.length}" font-family="sans-serif" font-size="12">`,
    `<title>${escaped(heading)}</title>`,
    '<rect width="100%" height="100%" fill="#fff"/>',
    label(LEFT, 24, heading, 'font-size="15"'),
    ...plots.flatMap((plot, i) => drawn(plot, 40 + HEIGHT * i)),
    "</svg>",
    "",
  ].join("\n");
