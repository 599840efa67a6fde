import type { Axis, ChartData } from "../charts/chart-data.ts";
import { drawBar, drawMarker, hatch, type Plot, useLine } from "./chart-marks.ts";
import { drawTitleAndLegend } from "./draw-legend.ts";
import type { PageFlow, StructElement, StructOptions } from "./page-flow.ts";
import { GRID, LINE, TEXT } from "./page-style.ts";

/** Room beside the plot for ticks and labels. */
const LEFT = 44;
const RIGHT = 40;

const scale = (axis: Axis, from: number, to: number) => (value: number) =>
  from + ((value - axis.min) / (axis.max - axis.min)) * (to - from);

/** Text turned a quarter, reading upwards, centred on (x, y). */
const turned = (flow: PageFlow, text: string, x: number, y: number): void => {
  const { doc } = flow;
  const width = flow.widthOf(text, TEXT.chartText);
  doc.save();
  doc.rotate(-90, { origin: [x, y] });
  flow.line(text, x - width / 2, y - 4, TEXT.chartText);
  doc.restore();
};

const drawAxes = (flow: PageFlow, chart: ChartData, plot: Plot): void => {
  const { doc } = flow;
  const px = scale(chart.x, plot.x, plot.x + plot.width);
  const py = scale(chart.y, plot.y + plot.height, plot.y);
  doc.undash();
  for (const t of chart.y.ticks) {
    doc
      .moveTo(plot.x, py(t.at))
      .lineTo(plot.x + plot.width, py(t.at))
      .lineWidth(t.at === 0 ? 0.8 : 0.3)
      .strokeColor(t.at === 0 ? LINE : GRID)
      .stroke();
    flow.line(t.text, plot.x - 6 - flow.widthOf(t.text, TEXT.chartText), py(t.at) - 4.2, TEXT.chartText);
  }
  for (const t of chart.x.ticks) {
    doc
      .moveTo(px(t.at), plot.y + plot.height)
      .lineTo(px(t.at), plot.y + plot.height + 3)
      .lineWidth(0.5)
      .strokeColor(LINE)
      .stroke();
    flow.line(t.text, px(t.at) - flow.widthOf(t.text, TEXT.chartText) / 2, plot.y + plot.height + 5, TEXT.chartText);
  }
  if (chart.yRight !== null) {
    const pr = scale(chart.yRight, plot.y + plot.height, plot.y);
    for (const t of chart.yRight.ticks) {
      doc
        .moveTo(plot.x + plot.width, pr(t.at))
        .lineTo(plot.x + plot.width + 3, pr(t.at))
        .lineWidth(0.5)
        .strokeColor(LINE)
        .stroke();
      flow.line(t.text, plot.x + plot.width + 6, pr(t.at) - 4.2, TEXT.chartText);
    }
    turned(flow, chart.yRight.label, flow.left + flow.width - 5, plot.y + plot.height / 2);
  }
  turned(flow, chart.y.label, flow.left + 5, plot.y + plot.height / 2);
  doc.rect(plot.x, plot.y, plot.width, plot.height).lineWidth(0.6).undash().strokeColor(LINE).stroke();
  const label = chart.x.label;
  flow.line(
    label,
    plot.x + plot.width / 2 - flow.widthOf(label, TEXT.chartText) / 2,
    plot.y + plot.height + 15,
    TEXT.chartText,
  );
};

const drawContents = (flow: PageFlow, chart: ChartData, plot: Plot): void => {
  const { doc } = flow;
  const px = scale(chart.x, plot.x, plot.x + plot.width);
  const py = scale(chart.y, plot.y + plot.height, plot.y);
  for (const band of chart.bands) {
    const first = band.points[0];
    if (first === undefined) continue;
    hatch(doc, plot, () => {
      doc.moveTo(px(first.x), py(first.upper));
      for (const p of band.points.slice(1)) doc.lineTo(px(p.x), py(p.upper));
      for (const p of band.points.toReversed()) doc.lineTo(px(p.x), py(p.lower));
      doc.closePath();
    });
  }
  doc.save();
  // A marker on the frame is drawn whole.
  const over = 4;
  doc.rect(plot.x - over, plot.y - over, plot.width + 2 * over, plot.height + 2 * over).clip();
  for (const l of chart.lines) {
    const first = l.points[0];
    if (first === undefined || l.style === "none") continue;
    useLine(doc, l.style).moveTo(px(first[0]) + l.nudge, py(first[1]));
    for (const [x, y] of l.points.slice(1)) doc.lineTo(px(x) + l.nudge, py(y));
    doc.stroke();
  }
  doc.undash();
  for (const s of chart.series) {
    for (const p of s.points) {
      if (p.bar !== undefined) drawBar(doc, px(p.x) + s.nudge, py(p.y + p.bar), py(p.y - p.bar));
    }
    for (const p of s.points) drawMarker(doc, s.marker, px(p.x) + s.nudge, py(p.y));
  }
  doc.restore();
  doc.undash();
};

/** A vector drawing, tagged as a figure with its alternative text. */
export const drawChart = (flow: PageFlow, parent: StructElement, chart: ChartData): void => {
  const foot = 27;
  flow.need(chart.height + 27 + foot + 4);
  const top = flow.y;
  const { doc } = flow;
  const content = doc.markStructureContent("Figure");
  const head = drawTitleAndLegend(flow, chart, top, flow.left + flow.width - RIGHT);
  const plot = { x: flow.left + LEFT, y: top + head, width: flow.width - LEFT - RIGHT, height: chart.height };
  drawAxes(flow, chart, plot);
  drawContents(flow, chart, plot);
  doc.endMarkedContent();
  parent.add(
    doc.struct(
      "Figure",
      {
        alt: chart.alternative,
        bbox: [flow.left, top, flow.left + flow.width, top + head + chart.height + foot],
      } as StructOptions,
      [content],
    ),
  );
  flow.y = top + head + chart.height + foot + 10;
};
