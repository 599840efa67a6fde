import type { ChartData, LineStyle } from "../charts/chart-data.ts";
import { drawBar, drawMarker, hatch, useLine } from "./chart-marks.ts";
import type { PageFlow, Pdf } from "./page-flow.ts";
import { TEXT } from "./page-style.ts";

interface LegendEntry {
  readonly text: string;
  readonly draw: (x: number, y: number) => void;
}

const legendOf = (doc: Pdf, chart: ChartData): readonly LegendEntry[] => [
  ...chart.series.map((s): LegendEntry => {
    const joined = chart.lines.find((l) => l.nudge === s.nudge && l.name === null && isJoin(l.style));
    return {
      text: s.name,
      draw: (left, middle) => {
        if (joined !== undefined)
          useLine(doc, joined.style)
            .moveTo(left, middle)
            .lineTo(left + 22, middle)
            .stroke();
        drawMarker(doc, s.marker, left + 11, middle);
      },
    };
  }),
  // The pieces of one line have one name and one place.
  ...chart.lines.flatMap(({ name, style }, i, all): LegendEntry[] =>
    name === null || all.findIndex((other) => other.name === name) < i
      ? []
      : [
          {
            text: name,
            draw: (left, middle) => {
              useLine(doc, style)
                .moveTo(left, middle)
                .lineTo(left + 22, middle)
                .stroke();
            },
          },
        ],
  ),
  ...chart.bands.flatMap(({ name }): LegendEntry[] =>
    name === null
      ? []
      : [
          {
            text: name,
            draw: (left, middle) =>
              hatch(doc, { x: left, y: middle - 4, width: 22, height: 8 }, () => doc.rect(left, middle - 4, 22, 8)),
          },
        ],
  ),
  ...(chart.barLegend === null
    ? []
    : [
        {
          text: chart.barLegend,
          draw: (left: number, middle: number) => drawBar(doc, left + 11, middle - 4.5, middle + 4.5),
        },
      ]),
];

const isJoin = (style: LineStyle): boolean => style === "solid" || style === "dashed";

const KEY = 26;
const BETWEEN = 12;

/** Title at the left, legend ending at `right`; on a second line when the two do not fit beside each other. Returns the height. */
export const drawTitleAndLegend = (flow: PageFlow, chart: ChartData, top: number, right: number): number => {
  const entries = legendOf(flow.doc, chart);
  const width = entries.reduce((sum, e) => sum + KEY + flow.widthOf(e.text, TEXT.chartText) + BETWEEN, -BETWEEN);
  const beside = flow.left + flow.widthOf(chart.title, TEXT.chartTitle) + BETWEEN + width <= right;
  flow.line(chart.title, flow.left, top, TEXT.chartTitle);
  const y = beside ? top + 1.5 : top + 13;
  let x = right - width;
  for (const entry of entries) {
    entry.draw(x, y + 4.2);
    flow.line(entry.text, x + KEY, y, TEXT.chartText);
    x += KEY + flow.widthOf(entry.text, TEXT.chartText) + BETWEEN;
  }
  return beside ? 16 : 27;
};
