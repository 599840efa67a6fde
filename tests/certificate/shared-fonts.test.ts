import { expect, it } from "vitest";
import { certificateModel } from "../../src/certificate/certificate-model.ts";
import { type FontBytes, renderPdf } from "../../src/certificate/render-pdf.ts";
import { sampleFonts } from "./sample-fonts.ts";
import { sampleInput } from "./sample-input.ts";

const draw = async (options: Parameters<typeof sampleInput>[0], fonts: FontBytes): Promise<Buffer> => {
  const pdf = await renderPdf(certificateModel(sampleInput(options)), { paper: "A4", fonts, createdAt: new Date(0) });
  if (!pdf.ok) throw new Error(pdf.fault.message);
  return Buffer.from(pdf.value);
};

it("R108: a document is the same bytes whatever was drawn before it with the same fonts", async () => {
  const copy = (): FontBytes => ({
    regular: sampleFonts.regular.slice(),
    bold: sampleFonts.bold.slice(),
    italic: sampleFonts.italic.slice(),
    heading: sampleFonts.heading.slice(),
  });
  const alone = await draw({ simulated: false, language: "de", longNames: true }, copy());
  const shared = copy();
  await draw({ simulated: true, troubles: 3 }, shared);
  await draw({ simulated: false, unit: "kPa" }, shared);
  const after = await draw({ simulated: false, language: "de", longNames: true }, shared);
  expect(after.equals(alone)).toBe(true);
});
