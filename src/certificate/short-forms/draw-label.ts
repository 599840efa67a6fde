import PDFDocument from "pdfkit";
import type { FontBytes, Instant } from "../pdf/open-document.ts";
import { INK } from "../pdf/page-style.ts";
import type { Label } from "./label.ts";
import { QUIET_ZONE, qrModules } from "./qr-code.ts";

/** 62 mm by 29 mm, a common size of labels on a roll; points. */
const WIDTH = (62 / 25.4) * 72;
const HEIGHT = (29 / 25.4) * 72;
const MARGIN = 5;

/** The sticker as a PDF of its own size, with everything it says in words too. */
export const drawLabel = (
  label: Label,
  options: { readonly fonts: FontBytes; readonly createdAt: Instant },
): Promise<Uint8Array> => {
  const doc = new PDFDocument({
    size: [WIDTH, HEIGHT],
    margin: 0,
    font: null as unknown as string,
    info: { Title: label.code.split(" ")[0] ?? "", Author: label.laboratory, CreationDate: options.createdAt },
  });
  const done = new Promise<Uint8Array>((resolve, reject) => {
    const chunks: Uint8Array[] = [];
    doc.on("data", (chunk: Uint8Array) => chunks.push(chunk));
    doc.on("error", reject);
    doc.on("end", () => resolve(Buffer.concat(chunks)));
  });
  doc.registerFont("regular", options.fonts.regular);
  doc.registerFont("bold", options.fonts.bold);
  const modules = qrModules(label.code);
  const side = HEIGHT - 2 * MARGIN;
  const step = side / (modules.length + 2 * QUIET_ZONE);
  const left = WIDTH - MARGIN - side + QUIET_ZONE * step;
  const top = MARGIN + QUIET_ZONE * step;
  doc.fillColor("#000000");
  for (const [row, line] of modules.entries()) {
    for (const [column, dark] of line.entries()) {
      // A hair wider than a module, so that no light line shows between two dark ones.
      if (dark) doc.rect(left + column * step, top + row * step, step + 0.02, step + 0.02);
    }
  }
  doc.fill();
  const room = WIDTH - side - 2 * MARGIN;
  const line = (text: string, y: number, font: "regular" | "bold", size: number): void => {
    doc.font(font).fontSize(size);
    const fitting = Math.min(size, (size * room) / Math.max(1, doc.widthOfString(text)));
    doc
      .fontSize(Math.max(4, fitting))
      .fillColor(INK)
      .text(text, MARGIN, y, { lineBreak: false, width: room, ellipsis: true });
  };
  line(label.laboratory, MARGIN, "regular", 6);
  line(label.word, MARGIN + 9, "bold", 13);
  for (const [i, text] of label.lines.entries()) line(text, MARGIN + 28 + i * 8.6, "regular", 6.6);
  doc.end();
  return done;
};
