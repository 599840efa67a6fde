import type PDFDocument from "pdfkit";
import { createGlyphCheck, type FontWithGlyphs, type MissingGlyph } from "./glyph-check.ts";
import { MARGIN, MARK, PAPER, type PaperSize, type TextStyle } from "./page-style.ts";
import { createTextRuns, type TextRun } from "./text-runs.ts";
import { wrapLines } from "./wrap-lines.ts";

export type Pdf = InstanceType<typeof PDFDocument>;
/** The library's types lag behind its code: bounding boxes and header scopes are known to it. */
export type StructOptions = Parameters<Pdf["struct"]>[1];
export type StructElement = ReturnType<Pdf["struct"]>;

/**
 * A cursor that walks down the pages. All text is drawn line by line at known places, so that the library never turns a
 * page by itself. Real content is drawn inside a structure element; rules, frames and marks are artifacts.
 */
export interface PageFlow {
  readonly doc: Pdf;
  readonly root: StructElement;
  readonly left: number;
  readonly width: number;
  y: number;
  /** Characters met so far that their font cannot show. */
  readonly missingGlyphs: readonly MissingGlyph[];
  /** Space left above the bottom margin. */
  room(): number;
  bodyHeight(): number;
  newPage(): void;
  /** Turns the page unless `height` fits. */
  need(height: number): void;
  lines(text: string, width: number, style: TextStyle): readonly string[];
  widthOf(text: string, style: TextStyle): number;
  /** Draws one line with its top at `y`. */
  line(text: string, x: number, y: number, style: TextStyle): void;
  /** Draws inside a new structure element of this kind under `parent`. */
  tagged(type: string, parent: StructElement, draw: () => void): void;
  artifact(draw: () => void): void;
}

/** Ascent of the font in use, thousandths of its size: lines are placed by their top, but runs share a base line. */
const ascentOf = (doc: Pdf): number =>
  (doc as unknown as { readonly _font: { readonly ascender: number } })._font.ascender;

/** Text from the right is laid out in one go: word by word the words would stand in the wrong order. */
const shaping = (run: TextRun) => (run.rightToLeft ? { features: [] } : {});

/** @param further how many fonts there are for letters that the faces lack */
export const createPageFlow = (
  doc: Pdf,
  root: StructElement,
  paper: PaperSize,
  mark: string | null,
  further = 0,
): PageFlow => {
  const runsOf = createTextRuns(doc, further);
  const left = MARGIN.left;
  const glyphs = createGlyphCheck();
  const width = PAPER[paper].width - MARGIN.left - MARGIN.right;
  const use = (style: TextStyle) => doc.font(style.font).fontSize(style.size);
  const artifact = (draw: () => void): void => {
    doc.markContent("Artifact", { type: "Layout" });
    draw();
    doc.endMarkedContent();
  };
  // The space behind the text is not seen; it keeps the words of two lines apart for whoever listens or copies.
  const line = (text: string, x: number, y: number, style: TextStyle): void => {
    if (text === "") return;
    const runs = runsOf(text, style.font);
    use(style);
    const ascent = ascentOf(doc);
    let left = x;
    for (const [i, run] of runs.entries()) {
      doc.font(run.font).fontSize(style.size);
      glyphs.look(run.text, style.font, (doc as unknown as { readonly _font: FontWithGlyphs })._font);
      const top = y + ((ascent - ascentOf(doc)) * style.size) / 1000;
      const shown = i === runs.length - 1 && !run.rightToLeft ? `${run.text} ` : run.text;
      doc.fillColor(style.colour).text(shown, left, top, { lineBreak: false, ...shaping(run) });
      if (i < runs.length - 1) left += doc.widthOfString(run.text, shaping(run));
    }
  };
  const widthOf = (text: string, style: TextStyle): number => {
    let width = 0;
    for (const run of runsOf(text, style.font)) {
      doc.font(run.font).fontSize(style.size);
      width += doc.widthOfString(run.text, shaping(run));
    }
    return width;
  };

  /** The mark lies under everything that is drawn afterwards, from corner to corner. */
  const drawMark = (word: string): void => {
    const { width: w, height: h } = doc.page;
    const diagonal = Math.hypot(w, h);
    const angle = (Math.atan2(h, w) * 180) / Math.PI;
    doc.font("bold").fontSize(100);
    const size = Math.min(150, (100 * 0.8 * diagonal) / doc.widthOfString(word));
    doc.fontSize(size);
    const length = doc.widthOfString(word);
    doc.save();
    doc.rotate(-angle, { origin: [w / 2, h / 2] });
    doc.fillColor(MARK).text(word, w / 2 - length / 2, h / 2 - size * 0.6, { lineBreak: false });
    doc.restore();
  };

  const flow: PageFlow = {
    doc,
    root,
    left,
    width,
    y: MARGIN.top,
    missingGlyphs: glyphs.missing,
    room: () => doc.page.height - MARGIN.bottom - flow.y,
    bodyHeight: () => doc.page.height - MARGIN.bottom - MARGIN.top,
    newPage: () => {
      doc.addPage();
      flow.y = MARGIN.top;
      if (mark !== null) artifact(() => drawMark(mark));
    },
    need: (height) => {
      if (flow.room() < height) flow.newPage();
    },
    lines: (text, available, style) => wrapLines(text, available, (piece) => widthOf(piece, style)),
    widthOf,
    line,
    tagged: (type, parent, draw) => {
      const content = doc.markStructureContent(type);
      draw();
      doc.endMarkedContent();
      parent.add(doc.struct(type, {}, [content]));
    },
    artifact,
  };
  return flow;
};
