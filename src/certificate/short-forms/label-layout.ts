import PDFDocument from "pdfkit";
import type { FontBytes } from "../pdf/open-document.ts";
import type { Pdf } from "../pdf/page-flow.ts";
import { createTextRuns, furtherName, type TextRun } from "../pdf/text-runs.ts";
import type { Label } from "./label.ts";
import { QUIET_ZONE, qrModules } from "./qr-code.ts";

/** 62 mm by 29 mm, a common size of labels on a roll; points. */
export const LABEL = { width: (62 / 25.4) * 72, height: (29 / 25.4) * 72 } as const;
const MARGIN = 5;
/** Smaller nobody reads it; what is still too long is cut with an ellipsis. */
const SMALLEST = 4.6;

export interface LabelFonts {
  readonly fonts: Pick<FontBytes, "regular" | "bold">;
  readonly furtherFonts?: readonly Uint8Array[];
}

export interface PlacedText {
  readonly run: TextRun;
  readonly x: number;
  /** Height of the base line below the upper edge. */
  readonly base: number;
  readonly size: number;
}

/** Where everything stands on the sticker, in points from its upper left corner. Print and picture are both drawn from it. */
export interface LabelLayout {
  readonly texts: readonly PlacedText[];
  /** Dark squares of the code: from left and top, with one side. */
  readonly squares: readonly { readonly x: number; readonly y: number }[];
  readonly side: number;
}

export const useLabelFonts = (doc: Pdf, { fonts, furtherFonts = [] }: LabelFonts): void => {
  doc.registerFont("regular", fonts.regular);
  doc.registerFont("bold", fonts.bold);
  for (const [i, bytes] of furtherFonts.entries()) doc.registerFont(furtherName(i), bytes);
};

/** A document that is only asked for widths and shapes. */
export const labelDocument = (fonts: LabelFonts): Pdf => {
  const doc = new PDFDocument({ size: [LABEL.width, LABEL.height], margin: 0, font: null as unknown as string });
  useLabelFonts(doc, fonts);
  return doc;
};

/** @param doc with the fonts of the label; measures, and is not drawn on */
export const layOutLabel = (doc: Pdf, label: Label, further: number): LabelLayout => {
  const modules = qrModules(label.code);
  const code = LABEL.height - 2 * MARGIN;
  const side = code / (modules.length + 2 * QUIET_ZONE);
  const left = LABEL.width - MARGIN - code + QUIET_ZONE * side;
  const top = MARGIN + QUIET_ZONE * side;
  const squares = modules.flatMap((line, row) =>
    line.flatMap((dark, column) => (dark ? [{ x: left + column * side, y: top + row * side }] : [])),
  );
  const runsOf = createTextRuns(doc, further);
  const room = LABEL.width - code - 2 * MARGIN;
  const widthOf = (run: TextRun, size: number): number =>
    doc
      .font(run.font)
      .fontSize(size)
      .widthOfString(run.text, run.rightToLeft ? { features: [] } : {});
  const texts: PlacedText[] = [];
  const line = (text: string, base: number, font: "regular" | "bold", wished: number): void => {
    const all = (words: string, size: number) => runsOf(words, font).reduce((sum, r) => sum + widthOf(r, size), 0);
    const size = Math.max(SMALLEST, Math.min(wished, (wished * room) / Math.max(1, all(text, wished))));
    let shown = text;
    while (shown.length > 1 && all(shown, size) > room + 0.01) shown = `${shown.slice(0, -2).trimEnd()}…`;
    let x = MARGIN;
    for (const run of runsOf(shown, font)) {
      texts.push({ run, x, base, size });
      x += widthOf(run, size);
    }
  };
  line(label.laboratory, MARGIN + 6, "regular", 6);
  line(label.word, MARGIN + 20.5, "bold", 13);
  // A number is not cut while a line of its own can hold it: what stands before it then goes above it.
  const rows = label.lines.flatMap((text, i) => {
    const font = i === 0 ? ("bold" as const) : ("regular" as const);
    const width = runsOf(text, font).reduce((sum, r) => sum + widthOf(r, SMALLEST), 0);
    const at = width > room ? text.lastIndexOf(" ") : -1;
    return (at < 0 ? [text] : [text.slice(0, at), text.slice(at + 1)]).map((shown) => ({ text: shown, font }));
  });
  const pitch = Math.min(9.2, (LABEL.height - MARGIN - 34) / Math.max(1, rows.length - 1));
  for (const [i, { text, font }] of rows.entries())
    line(text, MARGIN + 32.5 + i * pitch, font, Math.min(6.8, pitch - 1.5));
  return { texts, squares, side };
};
