import PDFDocument from "pdfkit";
import { expect, it } from "vitest";
import type { Pdf } from "../../../src/certificate/pdf/page-flow.ts";
import { createTextRuns } from "../../../src/certificate/pdf/text-runs.ts";
import { sampleFonts } from "../sample-fonts.ts";

/** Characters from left to right, as the font of the library puts them on the page. */
const inSight = (text: string): string => {
  const doc = new PDFDocument({ font: null as unknown as string }) as Pdf;
  doc.registerFont("regular", sampleFonts.regular);
  const shapes = () =>
    (
      doc as unknown as {
        _font: { font: { layout(text: string): { glyphs: { codePoints: number[] }[] } } };
      }
    )._font.font;
  return createTextRuns(doc, 0)(text, "regular")
    .map((run) => {
      doc.font(run.font);
      return shapes()
        .layout(run.text)
        .glyphs.map((g) => String.fromCodePoint(...g.codePoints))
        .join("");
    })
    .join("");
};

/** Unicode Standard Annex 9: numbers run from the left, also inside text from the right. */
it.each([
  ["شارع ١٢", "١٢ عراش"],
  ["خیابان ۱۲", "۱۲ نابایخ"],
  ["١٢/٣٤", "١٢/٣٤"],
  ["unit ١٢", "unit ١٢"],
  ["רחוב 12", "12 בוחר"],
])("a number in %s is not turned round", (text, seen) => {
  expect(inSight(text)).toBe(seen);
});
