import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import type { Block, PlacedSection } from "./block.ts";
import type { CertificateModel } from "./certificate-model.ts";
import { type Attachment, attachFile } from "./pdf/attach-file.ts";
import { drawChart } from "./pdf/draw-chart.ts";
import { drawEndMark, drawFurniture, drawTitle } from "./pdf/draw-furniture.ts";
import { drawTable, tableBeginning } from "./pdf/draw-table.ts";
import { drawCaution, drawFacts, drawList, drawParagraph, drawSignatures, rule } from "./pdf/draw-text.ts";
import { drawVerdicts } from "./pdf/draw-verdicts.ts";
import { type FontBytes, type Instant, openDocument } from "./pdf/open-document.ts";
import { createPageFlow, type PageFlow, type Pdf, type StructElement } from "./pdf/page-flow.ts";
import { INK, type PaperSize, TEXT } from "./pdf/page-style.ts";
import { addSignatureField, type SignatureField } from "./pdf/signature-field.ts";

export type { Attachment, FontBytes, Instant, PaperSize, SignatureField };

export interface PdfOptions {
  readonly paper: PaperSize;
  /** TrueType bytes: text, bold, italic and heading face. */
  readonly fonts: FontBytes;
  /** Fonts for letters that the four faces lack, such as Chinese ones in a customer's name. */
  readonly furtherFonts?: readonly Uint8Array[];
  /** Goes into the file as its date of creation; the same instant gives the same bytes. */
  readonly createdAt: Instant;
  /** The same results as data, for machines. */
  readonly attachments?: readonly Attachment[];
  /** Leaves room for a signature over the finished bytes. */
  readonly signature?: SignatureField;
}

const drawBlock = (
  flow: PageFlow,
  parent: StructElement,
  block: Block,
  headed: boolean,
  model: CertificateModel,
): void => {
  switch (block.kind) {
    case "paragraph":
      drawParagraph(flow, parent, block.text, TEXT[block.tone ?? "normal"], { after: 6 });
      return;
    case "list":
      drawList(flow, parent, block.items, TEXT.small);
      return;
    case "caution":
      drawCaution(flow, parent, block.heading, block.items);
      return;
    case "facts":
      drawFacts(flow, parent, block.groups, model.furniture, headed ? "H3" : "H2");
      return;
    case "verdicts":
      drawVerdicts(flow, parent, block.panels);
      return;
    case "table":
      drawTable(flow, parent, block, model.furniture.continued);
      return;
    case "chart":
      drawChart(flow, parent, block.chart);
      return;
    case "signatures":
      drawSignatures(flow, parent, block.people);
      return;
  }
};

/** A heading never stands alone at the foot of a page: the beginning of what follows is with it. */
const roomBelowHeading = (flow: PageFlow, [first, second]: readonly Block[]): number => {
  switch (first?.kind) {
    case "table":
      return tableBeginning(flow, first);
    case "chart":
      return first.chart.height + 60;
    case "paragraph": {
      const style = TEXT[first.tone ?? "normal"];
      const height = Math.min(4, flow.lines(first.text, flow.width, style).length) * style.leading + 6;
      return second === undefined ? height : height + Math.min(200, roomBelowHeading(flow, [second]));
    }
    default:
      return 60;
  }
};

const HEADING_ROOM = 36;

const drawSection = (flow: PageFlow, section: PlacedSection, number: number | null, model: CertificateModel): void => {
  const element = flow.doc.struct("Sect");
  flow.root.add(element);
  if (section.heading !== null) {
    if (number !== null) {
      flow.need(Math.min(HEADING_ROOM + roomBelowHeading(flow, section.blocks), flow.bodyHeight()));
      flow.y += 8;
    } else flow.need(50);
    const text = number === null ? section.heading : `${number}  ${section.heading}`;
    const style = number === null ? TEXT.groupHeading : TEXT.heading;
    drawParagraph(flow, element, text, style, { after: 2, type: "H2" });
    if (number !== null) rule(flow, flow.y, 0.9, INK);
    flow.y += number === null ? 0 : 7;
  }
  for (const block of section.blocks) drawBlock(flow, element, block, section.heading !== null, model);
  element.end();
};

const collect = (doc: Pdf): Promise<Uint8Array> =>
  new Promise((resolve, reject) => {
    const chunks: Uint8Array[] = [];
    doc.on("data", (chunk: Uint8Array) => chunks.push(chunk));
    doc.on("error", reject);
    doc.on("end", () => {
      const all = new Uint8Array(chunks.reduce((sum, c) => sum + c.length, 0));
      let at = 0;
      for (const chunk of chunks) {
        all.set(chunk, at);
        at += chunk.length;
      }
      resolve(all);
    });
    doc.end();
  });

/**
 * Draws a certificate as a tagged PDF with embedded fonts, labelled PDF/A-3b and made to its rules only in part (no
 * validator has judged it). Takes some hundred milliseconds of one core: run it in a worker, never beside the sampling.
 * The mark of a simulated run or a draft comes from the model alone.
 *
 * @returns the bytes, or `bad-file` when a text holds a character that the fonts cannot show
 */
export const renderPdf = async (model: CertificateModel, options: PdfOptions): Promise<Result<Uint8Array, Fault>> => {
  const doc = openDocument(model, options);
  for (const file of options.attachments ?? []) attachFile(doc, file, options.createdAt);
  const root = doc.struct("Document");
  doc.addStructure(root);
  const flow = createPageFlow(doc, root, options.paper, model.mark?.word ?? null, options.furtherFonts?.length);
  flow.newPage();
  drawTitle(flow, root, model);
  for (const section of model.sections.filter((s) => s.page === "first")) drawSection(flow, section, null, model);
  let number = 0;
  for (const section of model.sections.filter((s) => s.page === "body")) {
    // The results begin on a page of their own, unless the first page ran over.
    if (number === 0 && doc.bufferedPageRange().count === 1) flow.newPage();
    number += 1;
    drawSection(flow, section, number, model);
  }
  drawEndMark(flow, root, model.furniture.endMark);
  drawFurniture(flow, model);
  if (options.signature !== undefined) addSignatureField(doc, options.signature);
  root.end();
  const missing = flow.missingGlyphs[0];
  if (missing !== undefined) {
    return err(
      fault(
        "refused",
        "bad-file",
        `The character "${missing.character}" in "${missing.text}" cannot be shown by the certificate's ${missing.font} font.`,
        {
          means: "The certificate was not written, because an empty box would have taken its place.",
          remedy:
            "Write the text in other letters; Latin, Greek, Cyrillic, Arabic, Hebrew and common Chinese ones can be shown.",
        },
      ),
    );
  }
  return ok(await collect(doc));
};
