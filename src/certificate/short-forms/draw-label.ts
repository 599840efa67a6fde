import PDFDocument from "pdfkit";
import type { Instant } from "../pdf/open-document.ts";
import { INK } from "../pdf/page-style.ts";
import type { Label } from "./label.ts";
import { LABEL, type LabelFonts, layOutLabel, useLabelFonts } from "./label-layout.ts";

/** The sticker as a PDF of its own size, with everything it says in words too. */
export const drawLabel = (label: Label, options: LabelFonts & { readonly createdAt: Instant }): Promise<Uint8Array> => {
  const doc = new PDFDocument({
    size: [LABEL.width, LABEL.height],
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
  useLabelFonts(doc, options);
  const { texts, squares, side } = layOutLabel(doc, label, options.furtherFonts?.length ?? 0);
  doc.fillColor("#000000");
  // A hair wider than a module, so that no light line shows between two dark ones.
  for (const { x, y } of squares) doc.rect(x, y, side + 0.02, side + 0.02);
  doc.fill();
  for (const { run, x, base, size } of texts) {
    doc
      .font(run.font)
      .fontSize(size)
      .fillColor(INK)
      .text(run.text, x, base, {
        lineBreak: false,
        baseline: "alphabetic",
        ...(run.rightToLeft ? { features: [] } : {}),
      });
  }
  doc.end();
  return done;
};
