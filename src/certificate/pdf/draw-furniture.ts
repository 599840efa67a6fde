import { readPicture } from "../../config/picture.ts";
import type { CertificateModel } from "../certificate-model.ts";
import { drawParagraph, rule } from "./draw-text.ts";
import type { PageFlow, StructElement, StructOptions } from "./page-flow.ts";
import { INK, LINE, MARGIN, TEXT } from "./page-style.ts";

/** Room for the picture of the letterhead, points. */
const LOGO = { width: 112, height: 40 } as const;

/** Draws the picture, if there is one, at the left; gives the room that it takes. */
const drawLogo = (
  flow: PageFlow,
  parent: StructElement,
  model: CertificateModel,
): { width: number; height: number } => {
  const { logo } = model.laboratory;
  if (logo === undefined) return { width: 0, height: 0 };
  const { doc } = flow;
  const read = readPicture(logo.bytes);
  if (!read.ok) return { width: 0, height: 0 };
  const picture = read.value;
  const scale = Math.min(LOGO.width / picture.width, LOGO.height / picture.height);
  const [width, height] = [picture.width * scale, picture.height * scale];
  const content = doc.markStructureContent("Figure");
  doc.image(Buffer.from(logo.bytes), flow.left, flow.y, { width, height });
  doc.endMarkedContent();
  const bbox = [flow.left, flow.y, flow.left + width, flow.y + height];
  parent.add(doc.struct("Figure", { alt: logo.alternative, bbox } as StructOptions, [content]));
  return { width: width + 12, height };
};

/** Letterhead, title and number at the top of the first page. */
export const drawTitle = (flow: PageFlow, parent: StructElement, model: CertificateModel): void => {
  const numberWidth = 190;
  const top = flow.y;
  const logo = drawLogo(flow, parent, model);
  const beside = { x: flow.left + logo.width, width: flow.width - numberWidth - 20 - logo.width };
  drawParagraph(flow, parent, model.laboratory.name, TEXT.laboratory, { ...beside, after: 1 });
  for (const line of model.laboratory.lines) drawParagraph(flow, parent, line, TEXT.small, { ...beside, after: 0 });
  const afterLetterhead = Math.max(flow.y, top + logo.height);
  const x = flow.left + flow.width - numberWidth;
  flow.y = top;
  drawParagraph(flow, parent, model.numberLabel, TEXT.label, { x, width: numberWidth, after: 0 });
  drawParagraph(flow, parent, model.number, TEXT.number, { x, width: numberWidth, after: 0 });
  flow.y = Math.max(flow.y, afterLetterhead) + 7;
  rule(flow, flow.y, 1.6, INK);
  flow.y += 9;
  drawParagraph(flow, parent, model.title, TEXT.title, { after: 0, type: "H1" });
  drawParagraph(flow, parent, model.subtitle, TEXT.subtitle, { after: model.mark === null ? 10 : 4 });
  if (model.mark !== null) drawParagraph(flow, parent, model.mark.sentence, TEXT.strong, { after: 10 });
};

/** Head and foot of every page, written when all pages are counted. */
export const drawFurniture = (flow: PageFlow, model: CertificateModel): void => {
  const { doc } = flow;
  const { start, count } = doc.bufferedPageRange();
  for (let i = 0; i < count; i += 1) {
    doc.switchToPage(start + i);
    // With a bottom margin the library would turn the page under the foot.
    doc.page.margins.bottom = 0;
    doc.markContent("Artifact", { type: "Pagination" });
    if (model.mark !== null) {
      flow.line(model.mark.header, flow.left, 30, TEXT.furnitureStrong);
    }
    if (i > 0) {
      const text = model.laboratory.name;
      const short = flow.lines(text, flow.width * 0.5, TEXT.furniture)[0] ?? "";
      flow.line(short, flow.left + flow.width - flow.widthOf(short, TEXT.furniture), 30, TEXT.furniture);
      doc
        .moveTo(flow.left, 44)
        .lineTo(flow.left + flow.width, 44)
        .lineWidth(0.5)
        .undash()
        .strokeColor(LINE)
        .stroke();
    }
    const foot = doc.page.height - MARGIN.bottom + 22;
    doc
      .moveTo(flow.left, foot - 7)
      .lineTo(flow.left + flow.width, foot - 7)
      .lineWidth(0.5)
      .undash()
      .strokeColor(LINE)
      .stroke();
    flow.line(`${model.title} ${model.number}`, flow.left, foot, TEXT.furniture);
    const page = model.furniture.pageOf.replace("{n}", String(i + 1)).replace("{total}", String(count));
    flow.line(page, flow.left + flow.width - flow.widthOf(page, TEXT.furniture), foot, TEXT.furniture);
    doc.endMarkedContent();
  }
};

/** Nothing follows this line. */
export const drawEndMark = (flow: PageFlow, parent: StructElement, text: string): void => {
  flow.need(34);
  flow.y += 12;
  const width = flow.widthOf(text, TEXT.furnitureStrong);
  const middle = flow.left + flow.width / 2;
  const side = (flow.width - width) / 2 - 12;
  rule(flow, flow.y + 5, 0.8, INK, flow.left, side);
  rule(flow, flow.y + 5, 0.8, INK, middle + width / 2 + 12, side);
  flow.tagged("P", parent, () => flow.line(text, middle - width / 2, flow.y, TEXT.furnitureStrong));
  flow.y += 16;
};
