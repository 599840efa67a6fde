import { describe, expect, it } from "vitest";
import { type CertificateModel, certificateModel } from "../../src/certificate/certificate-model.ts";
import { NO_BREAK_SPACE } from "../../src/certificate/print-number.ts";
import { type PaperSize, renderPdf } from "../../src/certificate/render-pdf.ts";
import { sampleFonts } from "./sample-fonts.ts";
import { type SampleOptions, sampleInput } from "./sample-input.ts";
import { describeWith, run } from "./witness.ts";

const render = async (model: CertificateModel, paper: PaperSize = "A4"): Promise<Uint8Array> => {
  const pdf = await renderPdf(model, { paper, fonts: sampleFonts, createdAt: new Date("2031-03-05T09:00:00Z") });
  if (!pdf.ok) throw new Error(pdf.fault.message);
  return pdf.value;
};
const sample = (options: SampleOptions = {}): CertificateModel => certificateModel(sampleInput(options));

const plain = (text: string): string => text.replaceAll(NO_BREAK_SPACE, " ");
const squeezed = (text: string): string => text.replaceAll(/\s/gu, "");
const pageTexts = (pdf: Uint8Array): readonly string[] =>
  run("pdftotext", ["-layout", "{}", "-"], pdf).split("\f").slice(0, -1);
const textsIn = (value: unknown): string[] => {
  if (typeof value === "string") return [value];
  if (Array.isArray(value)) return value.flatMap(textsIn);
  return typeof value === "object" && value !== null ? Object.values(value).flatMap(textsIn) : [];
};

const VARIANTS: readonly { readonly name: string; readonly options: SampleOptions; readonly paper: PaperSize }[] = [
  { name: "simulated, A4", options: {}, paper: "A4" },
  { name: "issued, Letter", options: { simulated: false }, paper: "Letter" },
  { name: "German draft", options: { language: "de", simulated: false, authorised: false }, paper: "A4" },
  { name: "four words, kPa", options: { unit: "kPa", rule: { rule: "four-words", share_of_U: 1 } }, paper: "A4" },
  {
    name: "63 readings twice, 200 troubles, long names",
    options: { intervals: 11, cycles: 3, troubles: 200, longNames: true, unsettled: [5, 6] },
    paper: "Letter",
  },
];

describe("rendering", () => {
  it("R108: the same input gives the same bytes", async () => {
    expect(Buffer.from(await render(sample())).equals(Buffer.from(await render(sample())))).toBe(true);
  });

  it("refuses a character that the fonts cannot show, by name, instead of an empty box", async () => {
    const input = sampleInput();
    const unit = { ...input.unit, identity: { ...input.unit.identity, maker: "弁製作所" } };
    const pdf = await renderPdf(certificateModel({ ...input, unit }), {
      paper: "A4",
      fonts: sampleFonts,
      createdAt: new Date("2031-03-05T09:00:00Z"),
    });
    expect(pdf).toMatchObject({ ok: false, fault: { code: "bad-file" } });
    expect(pdf.ok ? "" : pdf.fault.message).toContain("弁");
  });
});

describeWith(["pdftotext", "pdfinfo", "pdffonts", "qpdf"], "the PDF as others read it", () => {
  for (const { name, options, paper } of VARIANTS) {
    describe(name, () => {
      const model = sample(options);
      const rendered = render(model, paper);

      it("R105: has no fault of syntax, and every font is embedded and subset", async () => {
        const pdf = await rendered;
        expect(run("qpdf", ["--check", "{}"], pdf)).toContain("No syntax or stream encoding errors found");
        const fonts = run("pdffonts", ["{}"], pdf).trim().split("\n").slice(2);
        expect(fonts.length).toBeGreaterThanOrEqual(3);
        for (const font of fonts) expect(font).toMatch(/ yes yes yes /);
      });

      it("R4, R5: every page has the number and page n of N, the last the end mark", async () => {
        const pages = pageTexts(await rendered);
        for (const [i, page] of pages.entries()) {
          expect(page).toContain(model.number);
          const expected = model.furniture.pageOf
            .replace("{n}", String(i + 1))
            .replace("{total}", String(pages.length));
          expect(page).toContain(expected);
        }
        expect(pages.filter((p) => p.includes(model.furniture.endMark))).toEqual([pages.at(-1)]);
      });

      it("the mark stands on every page, in the head and across it", async () => {
        const pages = pageTexts(await rendered);
        for (const page of pages) {
          if (model.mark === null) expect(page).not.toMatch(/SIMULATED|DRAFT|ENTWURF/);
          else expect(page).toContain(model.mark.header);
        }
        if (model.mark === null) return;
        // Drawn once a page beside the head; turned text comes out letter by letter or whole, so the raw order is read.
        const raw = run("pdftotext", ["-raw", "{}", "-"], await rendered)
          .split("\f")
          .slice(0, -1);
        const word = model.mark.word;
        for (const page of raw) {
          const without = squeezed(page)
            .replaceAll(squeezed(model.mark.header), "")
            .replaceAll(squeezed(model.number), "");
          expect(without).toContain(word);
        }
      });

      it("R109: every text of the model is printed, figure by figure", async () => {
        const printed = squeezed(run("pdftotext", ["-raw", "{}", "-"], await rendered));
        for (const block of model.sections.flatMap((s) => s.blocks)) {
          if (block.kind !== "table") continue;
          for (const row of block.rows) {
            const joined = row.cells.filter((c) => /^[−\d.,\u202F]+$/u.test(c));
            for (const cell of joined) expect(printed).toContain(squeezed(cell));
          }
        }
      });

      it("R107: is tagged, with language and title, headings in order and alternative text for drawings", async () => {
        const pdf = await rendered;
        const info = run("pdfinfo", ["{}"], pdf);
        expect(info).toMatch(/Tagged:\s+yes/);
        expect(info).toMatch(/Title:\s+\S/);
        const tree = run("pdfinfo", ["-struct", "{}"], pdf);
        expect(tree).toMatch(/^\s+H1/m);
        expect(tree).toMatch(/^\s+TH/m);
        const levels = [...tree.matchAll(/^\s+H(\d)/gm)].map((m) => Number(m[1]));
        expect(levels[0]).toBe(1);
        for (const [i, level] of levels.entries()) expect(level - (levels[i - 1] ?? 0)).toBeLessThanOrEqual(1);
        const drawings = model.sections.flatMap((s) => s.blocks).filter((b) => b.kind === "chart").length;
        expect(tree.match(/^\s+Figure/gm)?.length ?? 0).toBe(drawings);
      });
    });
  }

  it("R109: the results table comes out row by row with the decimals of the model", async () => {
    const input = sampleInput({ simulated: false, unit: "kPa" });
    const model = certificateModel(input);
    const lines = pageTexts(await render(model))
      .join("\n")
      .split("\n")
      .map((l) => plain(l).trim());
    for (const p of model.results.as_found?.points ?? []) {
      const found = lines.find((l) => new RegExp(`^${p.ordinal}\\s+[▲▽]`, "u").test(l)) ?? "";
      const numbers = found.replaceAll("−", "-").match(/-?\d+\.\d+/g);
      const { ideal, output, error, U, limit, acceptance } = p.in_kPa;
      expect(numbers).toEqual([
        p.nominal_mA,
        p.applied_mA,
        ideal,
        output,
        error,
        p.error_percent_span,
        U,
        p.k,
        limit,
        acceptance,
      ]);
    }
  });

  it("a text longer than a page, and numbers wider than their column, lose nothing", async () => {
    const input = sampleInput({ troubles: 1 });
    const words = Array.from({ length: 1500 }, (_, i) => `word${i}`);
    const record = {
      ...input.record,
      deviations: [
        ...input.record.deviations,
        { ...input.record.last, kind: "trouble" as const, stage: null, ordinal: null, text: words.join(" ") },
      ],
    };
    const pages = pageTexts(await render(certificateModel({ ...input, record })));
    const printed = new Set(pages.join(" ").split(/\s+/));
    expect(words.filter((w) => !printed.has(w))).toEqual([]);
    for (const page of pages) expect(page.trim().split("\n").at(-1)).toMatch(/page \d+ of \d+/);
  });

  it("metadata say SIMULATED, and an ampersand or angle bracket does not break the XMP", async () => {
    const pdf = await render(sample({ longNames: true }));
    const info = run("pdfinfo", ["{}"], pdf);
    expect(info).toMatch(/Title:\s+Specimen, not a certificate SIMULATED-/);
    expect(info).toMatch(/Keywords:\s+SIMULATED/);
    expect(info).toContain("& Mälzereien");
    const xmp = run("pdfinfo", ["-meta", "{}"], pdf);
    expect(xmp).toContain("&amp; Mälzereien am oberen Mühlbach &lt;Werk II&gt;");
    expect(xmp).toMatch(/<pdfaid:part>3</);
  });

  it("R107: whoever listens hears the first page in order, with words of two lines apart", async () => {
    // Asking for the text of each element is slow in the witness: one page is enough.
    const model = sample({ simulated: false });
    const first = { ...model, sections: model.sections.filter((s) => s.page === "first") };
    const heard = plain(run("pdfinfo", ["-struct-text", "{}"], await render(first)));
    const order = [
      "Calibration certificate",
      "As found FAIL",
      "As left PASS",
      "Maker Hopwell",
      "Customer Three Kettles",
      "P-31-0418",
      "U is the expanded",
      "A. Technician",
      "C. Head",
    ];
    const places = order.map((text) => heard.indexOf(text));
    expect(places.every((at) => at >= 0)).toBe(true);
    expect(places).toEqual(places.toSorted((a, b) => a - b));
  });

  it("R32: no page of an issued certificate carries a due date of the item", async () => {
    const text = pageTexts(await render(sample({ simulated: false }))).join("\n");
    expect(text).not.toMatch(/next calibration|valid until|interval/i);
  });

  it("a mark of its own is on every page of a long specimen", async () => {
    const pdf = await render(sample({ intervals: 11, cycles: 3, troubles: 200 }));
    const pages = pageTexts(pdf);
    expect(pages.length).toBeGreaterThan(8);
    for (const page of pages) expect(page).toContain("SIMULATED – not a certificate");
  });

  it("no heading stands alone at the foot of a page, however the pages turn", async () => {
    for (const troubles of [0, 9, 17, 25]) {
      const model = sample({
        simulated: false,
        troubles,
        longNames: troubles > 9,
        language: troubles === 9 ? "de" : "en",
      });
      const headings = model.sections.map((s) => s.heading ?? "-");
      for (const [i, page] of pageTexts(await render(model)).entries()) {
        const lines = page
          .split("\n")
          .map((l) => l.trim())
          .filter((l) => l !== "");
        const last = lines.at(-2) ?? "";
        expect([troubles, i, headings.filter((h) => h.length > 3 && last.endsWith(h))]).toEqual([troubles, i, []]);
      }
    }
  });

  it("table heads are repeated on each page they run over", async () => {
    const pages = pageTexts(await render(sample({ troubles: 200 })));
    const run200 = pages.filter((p) => p.includes("No answer from gauge-1"));
    expect(run200.length).toBeGreaterThan(3);
    for (const page of run200) expect(page).toContain("What happened");
    expect(run200.slice(1).every((p) => p.includes("(continued)"))).toBe(true);
  });

  it("all texts are free of unfilled places", async () => {
    for (const text of textsIn(sample())) expect(text).not.toMatch(/undefined|NaN|\[object/);
  });
});
