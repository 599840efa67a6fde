import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import type { FontBytes } from "../../src/certificate/render-pdf.ts";

const folder = join(dirname(createRequire(import.meta.url).resolve("dejavu-fonts-ttf/package.json")), "ttf");
const face = (name: string): Uint8Array => new Uint8Array(readFileSync(join(folder, `${name}.ttf`)));

export const sampleFonts: FontBytes = {
  regular: face("DejaVuSansCondensed"),
  bold: face("DejaVuSansCondensed-Bold"),
  italic: face("DejaVuSansCondensed-Oblique"),
  heading: face("DejaVuSerifCondensed-Bold"),
};
