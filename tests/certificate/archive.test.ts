import PDFDocument from "pdfkit";
import { describe, expect, it } from "vitest";
import { certificateModel } from "../../src/certificate/certificate-model.ts";
import { dccText } from "../../src/certificate/dcc/dcc-text.ts";
import { renderPdf } from "../../src/certificate/render-pdf.ts";
import { missingOfArchiveList } from "./archive-list.ts";
import { sampleFonts } from "./sample-fonts.ts";
import { type SampleOptions, sampleInput } from "./sample-input.ts";
import { describeWith, made, run } from "./witness.ts";

const DCC = (options: SampleOptions): Uint8Array => Buffer.from(dccText(sampleInput(options)) ?? "", "utf8");

const withData = async (options: SampleOptions = {}): Promise<Uint8Array> => {
  const model = certificateModel(sampleInput(options));
  const pdf = await renderPdf(model, {
    paper: "A4",
    fonts: sampleFonts,
    createdAt: new Date("2031-03-05T09:00:00Z"),
    attachments: [
      { name: `${model.number}.xml`, mimeType: "text/xml", description: "Digital certificate", bytes: DCC(options) },
    ],
  });
  if (!pdf.ok) throw new Error(pdf.fault.message);
  return pdf.value;
};

const plain = (options: PDFKit.PDFDocumentOptions): Promise<Uint8Array> =>
  new Promise((resolve) => {
    const doc = new PDFDocument(options);
    const chunks: Buffer[] = [];
    doc.on("data", (chunk: Buffer) => chunks.push(chunk));
    doc.on("end", () => resolve(Buffer.concat(chunks)));
    doc.text("plain");
    doc.end();
  });

describe("the part of ISO 19005-3 that is looked up", () => {
  it.each([
    {},
    { simulated: false },
    { simulated: false, language: "de", longNames: true, cycles: 3, intervals: 11 },
  ] as const)("R105: nothing of the list is missing: %j", async (options) => {
    expect(missingOfArchiveList(await withData(options))).toEqual([]);
  });

  it("R105: the list finds what the library lets through", async () => {
    const careless = await plain({ subset: "PDF/A-3b", info: { Title: "A & B", CreationDate: new Date(0) } });
    const found = missingOfArchiveList(careless).join("\n");
    expect(found).toMatch(/kind Type1/);
    expect(missingOfArchiveList(await plain({})).join("\n")).toMatch(/no output intent|not one output intent/);
  });

  it("R105: one changed byte at a place that counts is found", async () => {
    const good = Buffer.from(await withData());
    for (const [from, to] of [
      ["%PDF-1.7", "%PDF-2.0"],
      ["/AFRelationship /Data", "/AFRelationship /None"],
      ["/S /GTS_PDFA1", "/S /GTS_PDFX_"],
      ["<pdfaid:part>3", "<pdfaid:part>2"],
      ["/Marked true", "/Marked null"],
      ["/ToUnicode", "/ToUnicorn"],
    ] as const) {
      const spoilt = Buffer.from(good.toString("latin1").replace(from, to), "latin1");
      expect(spoilt.equals(good), from).toBe(false);
      expect(missingOfArchiveList(spoilt).length, from).toBeGreaterThan(0);
    }
  });
});

describeWith(["pdfdetach", "qpdf"], "the data file inside the PDF", () => {
  it("R106: comes out byte for byte, named by the number, with type, relationship and both dates", async () => {
    const pdf = await withData({ simulated: false });
    expect(run("pdfdetach", ["-list", "{}"], pdf)).toMatch(/1: TK-2031-0117\.xml/);
    const saved = made("pdfdetach", ["-save", "1", "-o", "{out}", "{}"], pdf);
    expect(Buffer.from(saved).equals(DCC({ simulated: false }))).toBe(true);
    const listed = run("qpdf", ["--list-attachments", "--verbose", "{}"], pdf);
    expect(listed).toMatch(/text\/xml/);
    expect(listed).toMatch(/modification date: .*2031/);
    expect(listed).toMatch(/creation date: .*2031/);
    expect(run("qpdf", ["--check", "{}"], pdf)).toContain("No syntax or stream encoding errors found");
  });

  it("R106: holds a name of any script in the data file", async () => {
    const saved = Buffer.from(
      made("pdfdetach", ["-save", "1", "-o", "{out}", "{}"], await withData({ longNames: true })),
    ).toString("utf8");
    expect(saved).toContain("Stell- und Regelgeräten der vereinigten Brauereien &amp; Mälzereien");
  });
});
