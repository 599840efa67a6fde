import type { LineStyle, Marker } from "../charts/chart-data.ts";
import type { Pdf } from "./page-flow.ts";
import { INK, LINE, PAPER_WHITE } from "./page-style.ts";

/** Markers, lines, bars and hatching of drawings: told apart by shape, never by colour. */
const R = 3.1;

export interface Plot {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export const drawMarker = (doc: Pdf, marker: Marker, x: number, y: number): void => {
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

export const useLine = (doc: Pdf, style: LineStyle): Pdf => {
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

/** Slanting lines inside a zone: legible in grey, and the mark across the page shows through. */
export const hatch = (doc: Pdf, plot: Plot, path: () => void): void => {
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

export const drawBar = (doc: Pdf, x: number, top: number, bottom: number): void => {
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
