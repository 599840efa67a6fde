import PDFDocument from "pdfkit";
import type { CertificateModel } from "../certificate-model.ts";
import type { Pdf } from "./page-flow.ts";
import { FONT_NAMES, type FontName, MARGIN, type PaperSize } from "./page-style.ts";
import { shareFont } from "./shared-fonts.ts";
import { furtherName } from "./text-runs.ts";

/** An instant as the library takes it, made by whoever has a clock. */
export type Instant = NonNullable<NonNullable<PDFKit.PDFDocumentOptions["info"]>["CreationDate"]>;

export type FontBytes = Readonly<Record<FontName, Uint8Array>>;

interface MetadataWriter {
  info: Record<string, unknown>;
  _addInfo(): void;
}

const escapeXml = (text: string): string =>
  text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;");

/** pdfkit 0.20.2 writes title and author into the XMP packet as they are, so an ampersand would break it. */
const escapeMetadata = (doc: Pdf): void => {
  const writer = doc as unknown as MetadataWriter;
  const write = writer._addInfo.bind(writer);
  writer._addInfo = () => {
    const plain = writer.info;
    writer.info = Object.fromEntries(
      Object.entries(plain).map(([key, value]) => [key, typeof value === "string" ? escapeXml(value) : value]),
    );
    write();
    writer.info = plain;
  };
};

/**
 * Opens a tagged document made to the rules of PDF/A-3b as far as the library goes: embedded fonts, output intent, XMP.
 * No validator has judged it, so it is not called conforming anywhere.
 */
export const openDocument = (
  model: CertificateModel,
  options: {
    readonly paper: PaperSize;
    readonly fonts: FontBytes;
    readonly furtherFonts?: readonly Uint8Array[];
    readonly createdAt: Instant;
  },
): Pdf => {
  const title = `${model.title} ${model.number}`;
  const doc = new PDFDocument({
    size: options.paper === "A4" ? "A4" : "LETTER",
    margins: { ...MARGIN },
    pdfVersion: "1.7",
    subset: "PDF/A-3b",
    tagged: true,
    lang: model.language,
    displayTitle: true,
    bufferPages: true,
    autoFirstPage: false,
    // null keeps the library from opening its own Helvetica, which would stay unembedded.
    font: null as unknown as string,
    info: {
      Title: title,
      Author: model.laboratory.name,
      Subject: model.mark === null ? model.subtitle : `${model.subtitle}. ${model.mark.header}`,
      ...(model.mark === null ? {} : { Keywords: model.mark.word }),
      Creator: `Stillpoint ${model.software_version}`,
      CreationDate: options.createdAt,
    },
  });
  for (const name of FONT_NAMES) {
    doc.registerFont(name, options.fonts[name]);
    shareFont(doc, name, options.fonts[name]);
  }
  for (const [i, bytes] of (options.furtherFonts ?? []).entries()) doc.registerFont(furtherName(i), bytes);
  escapeMetadata(doc);
  return doc;
};
