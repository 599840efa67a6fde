import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { furtherFonts } from "../../src/app/further-fonts.ts";
import { certificateModel } from "../../src/certificate/certificate-model.ts";
import { dccText } from "../../src/certificate/dcc/dcc-text.ts";
import { renderPdf } from "../../src/certificate/render-pdf.ts";
import { must } from "../app/practice-job.ts";
import { missingOfArchiveList } from "./archive-list.ts";
import { sampleFonts } from "./sample-fonts.ts";
import { sampleInput } from "./sample-input.ts";
import { describeWith, run } from "./witness.ts";

const inputFor = (customer: string) => {
  const input = sampleInput({ simulated: false });
  const identity = { ...input.unit.identity, customer, customer_contact: customer };
  return { ...input, unit: { ...input.unit, identity } };
};

const drawnFor = (customer: string) =>
  renderPdf(certificateModel(inputFor(customer)), {
    paper: "A4",
    fonts: sampleFonts,
    furtherFonts: furtherFonts(customer),
    createdAt: new Date("2031-03-05T09:00:00Z"),
  });

const CHINESE = "三壶啤酒厂有限公司，北京市朝阳区";
const ARABIC = "شركة الغلايات الثلاث للتخمير";
const HEBREW = "מבשלת שלושת הקומקומים";

describe("names in other letters", () => {
  it("a letter that no font has is named, and nothing is written", async () => {
    for (const [customer, letter] of [
      ["ບໍລິສັດ 𒀀", "𒀀"],
      ["세 주전자", "세"],
    ] as const) {
      const drawn = await drawnFor(customer);
      expect(drawn.ok ? "" : drawn.fault.message).toContain(`"${letter}"`);
    }
  });

  it("reads only the slices of the further font that a text needs", () => {
    expect(furtherFonts("Three Kettles Brewery, Ωμέγα, Ёлка")).toEqual([]);
    expect(furtherFonts("壶").length).toBe(1);
    expect(furtherFonts(CHINESE).length).toBeLessThan(14);
  });
});

describeWith(["pdftotext", "pdffonts", "pdftoppm"], "names in other letters as others read them", () => {
  it.each([
    ["Chinese", CHINESE],
    ["Arabic", ARABIC],
    ["Hebrew", HEBREW],
    ["Arabic with a number between Latin words", `Three Kettles (${ARABIC}) 12, Gulf`],
  ])("R6: a %s name is printed with embedded fonts, comes out as text, and is in the data file", async (_, name) => {
    const pdf = must(await drawnFor(name));
    expect(missingOfArchiveList(pdf)).toEqual([]);
    const fonts = run("pdffonts", ["{}"], pdf).trim().split("\n").slice(2);
    for (const line of fonts) expect(line).toMatch(/ yes yes yes /);
    const text = run("pdftotext", ["-raw", "{}", "-"], pdf)
      .normalize("NFKC")
      .replaceAll(/[\s\u200E\u200F\u202A-\u202E]/gu, "");
    const letters = (of: string): string => [...of.normalize("NFKC").replaceAll(/[\s().\d,，]/gu, "")].sort().join("");
    const first = [...name.normalize("NFKC")].filter((c) => /\p{L}/u.test(c));
    for (const c of first) expect(text).toContain(c);
    expect(letters(name).length).toBeGreaterThan(10);
    expect(dccText(inputFor(name))).toContain(name);
    const folder = mkdtempSync(join(tmpdir(), "letters-"));
    try {
      run("pdftoppm", ["-r", "40", "-png", "-l", "1", "{}", join(folder, "page")], pdf);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });
});
