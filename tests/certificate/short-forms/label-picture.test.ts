import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { furtherFonts } from "../../../src/app/further-fonts.ts";
import { drawLabel } from "../../../src/certificate/short-forms/draw-label.ts";
import type { Label } from "../../../src/certificate/short-forms/label.ts";
import { labelDocument, layOutLabel } from "../../../src/certificate/short-forms/label-layout.ts";
import { labelPicture } from "../../../src/certificate/short-forms/label-picture.ts";
import { sampleFonts } from "../sample-fonts.ts";
import { describeWith, run } from "../witness.ts";

const label = (more: Partial<Label> = {}): Label => ({
  status: "issued",
  laboratory: "Valve Workshop, Three Kettles Brewery",
  word: "PASS",
  lines: ["Certificate no. TK-2031-0117", "Serial number: HC15-20431", "Tag: PV-114", "Calibrated: 4 March 2031"],
  code: `TK-2031-0117 SHA-256 ${"5d2c".repeat(16)}`,
  ...more,
});

describe("label", () => {
  it("no word leaves its room or stands on another line, also when all are very long", () => {
    const long = "a".repeat(90);
    const further = furtherFonts("三壶啤酒厂");
    const doc = labelDocument({ fonts: sampleFonts, furtherFonts: further });
    for (const it of [
      label(),
      label({ laboratory: `三壶啤酒厂 ${long}`, word: long, lines: [long, long, long, long] }),
    ]) {
      const { texts, squares } = layOutLabel(doc, it, further.length);
      const code = Math.min(...squares.map((s) => s.x));
      for (const { run: piece, x, size } of texts) {
        expect(x + doc.font(piece.font).fontSize(size).widthOfString(piece.text)).toBeLessThan(code);
        expect(size).toBeGreaterThanOrEqual(4.6);
      }
      const lines = [...new Set(texts.map((t) => t.base))];
      for (const [i, base] of lines.entries()) expect(base - (lines[i - 1] ?? 0)).toBeGreaterThan(6);
      expect(Math.max(...lines)).toBeLessThan((29 / 25.4) * 72 - 3);
    }
  });
});

describeWith(["pdftoppm"], "the picture of the label beside its print", () => {
  it("R22: shows the same, dot by dot but for edges", async () => {
    const fonts = { fonts: sampleFonts };
    const picture = labelPicture(label(), fonts);
    const pdf = await drawLabel(label(), { ...fonts, createdAt: new Date("2031-03-05T09:00:00Z") });
    const folder = mkdtempSync(join(tmpdir(), "label-"));
    try {
      run("pdftoppm", ["-gray", "-r", "600", "-singlefile", "{}", join(folder, "print")], pdf);
      const pgm = readFileSync(join(folder, "print.pgm"));
      const [head, width, height] = /^P5\s+(\d+)\s+(\d+)\s+255\s/.exec(pgm.toString("latin1", 0, 40)) ?? [];
      const print = pgm.subarray(head?.length ?? 0);
      expect(Math.abs(Number(width) - picture.width)).toBeLessThanOrEqual(1);
      let black = 0;
      let apart = 0;
      for (let y = 1; y < Math.min(picture.height, Number(height)) - 1; y += 1) {
        for (let x = 1; x < picture.width - 1; x += 1) {
          const at = (dx: number, dy: number): number =>
            (print[(y + dy) * Number(width) + x + dx] ?? 255) < 128 ? 1 : 0;
          const dot = picture.pixels[y * picture.width + x] ?? 0;
          black += dot;
          const near = [-1, 0, 1].some((dx) => [-1, 0, 1].some((dy) => at(dx, dy) === dot));
          if (!near) apart += 1;
        }
      }
      expect(black).toBeGreaterThan(50_000);
      expect(apart / black).toBeLessThan(0.002);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });
});
