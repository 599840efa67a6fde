import type { Axis, ChartData, LineStyle, Marker } from "../charts/chart-data.ts";
import type { PageFlow, Pdf, StructElement, StructOptions } from "./page-flow.ts";
import { GRID, INK, LINE, PAPER_WHITE, TEXT } from "./page-style.ts";

const R = 3.1;
/** Room beside the plot for ticks and labels. */
const LEFT = 44;
const RIGHT = 40;

const drawMarker = (doc: Pdf, marker: Marker, x: number, y: number): void => {
  doc.lineWidth(0.9).undash().strokeColor(INK);
  switch (marker) {
    case "filled-up":
      doc
        .moveTo(x, y - R)
        .lineTo(x + R, y + R * 0.8)
        .lineTo(x - R, y + R * 0.8)
        .closePath()
        .fillColor(INK)
        .fillAndStroke();
      break;
    case "open-down":
      doc
        .moveTo(x, y + R)
        .lineTo(x + R, y - R * 0.8)
        .lineTo(x - R, y - R * 0.8)
        .closePath()
        .fillColor(PAPER_WHITE)
        .fillAndStroke();
      break;
    case "open-diamond":
      doc
        .moveTo(x, y - R)
        .lineTo(x + R, y)
        .lineTo(x, y + R)
        .lineTo(x - R, y)
        .closePath()
        .fillColor(PAPER_WHITE)
        .fillAndStroke();
      break;
  }
};

const useLine = (doc: Pdf, style: LineStyle): Pdf => {
  switch (style) {
    case "heavy":
      return doc.lineWidth(1.5).undash().strokeColor(INK);
    case "solid":
      return doc.lineWidth(0.8).undash().strokeColor(INK);
    case "dashed":
      return doc.lineWidth(0.8).dash(4, { space: 2.4 }).strokeColor(INK);
    case "dotted":
      return doc.lineWidth(0.7).dash(1, { space: 1.8 }).strokeColor(LINE);
    case "none":
      return doc.lineWidth(0).undash();
  }
};

interface Plot {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

const scale = (axis: Axis, from: number, to: number) => (value: number) =>
  from + ((value - axis.min) / (axis.max - axis.min)) * (to - from);

/** Slanting lines inside a zone: legible in grey, and the mark across the page shows through. */
const hatch = (doc: Pdf, plot: Plot, path: () => void): void => {
  doc.save();
  path();
  doc.clip();
  doc.lineWidth(0.35).undash().strokeColor(LINE);
  for (let offset = -plot.height; offset < plot.width; offset += 4.5) {
    doc.moveTo(plot.x + offset, plot.y + plot.height).lineTo(plot.x + offset + plot.height, plot.y);
  }
  doc.stroke();
  doc.restore();
};

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
  ...chart.lines.flatMap(({ name, style }): LegendEntry[] =>
    name === null
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

/** Title at the left, legend at the right; on a second line when the two do not fit beside each other. Returns the height. */
const drawTitleAndLegend = (flow: PageFlow, chart: ChartData, top: number): number => {
  const entries = legendOf(flow.doc, chart);
  const width = entries.reduce((sum, e) => sum + KEY + flow.widthOf(e.text, TEXT.chartText) + BETWEEN, -BETWEEN);
  const right = flow.left + flow.width - RIGHT;
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

const drawBar = (doc: Pdf, x: number, top: number, bottom: number): void => {
  doc
    .lineWidth(0.6)
    .undash()
    .strokeColor(INK)
    .moveTo(x, top)
    .lineTo(x, bottom)
    .moveTo(x - 1.8, top)
    .lineTo(x + 1.8, top)
    .moveTo(x - 1.8, bottom)
    .lineTo(x + 1.8, bottom)
    .stroke();
};

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
  doc.rect(plot.x, plot.y, plot.width, plot.height).clip();
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
  const head = drawTitleAndLegend(flow, chart, top);
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
