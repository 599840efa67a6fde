import type { Instant } from "./open-document.ts";
import type { Pdf } from "./page-flow.ts";

/** A file that travels inside the PDF and can be taken out byte for byte. */
export interface Attachment {
  readonly name: string;
  readonly mimeType: string;
  readonly description: string;
  readonly bytes: Uint8Array;
}

interface References {
  ref(data: { Type?: string; Params?: { CheckSum?: unknown } }): unknown;
}

type FileOptions = Parameters<Pdf["file"]>[1] & { readonly relationship: string };

/**
 * Attaches a file as an associated file (ISO 19005-3, 6.8). Its relationship is Data: the numbers from which what is seen
 * on the page was drawn. pdfkit 0.20.2 writes the checksum as hexadecimal letters where ISO 32000-1, 7.11.4 wants the 16
 * bytes; they are put in its place.
 */
export const attachFile = (doc: Pdf, file: Attachment, at: Instant): void => {
  const references = doc as unknown as References;
  const make = references.ref.bind(doc);
  references.ref = (data) => {
    if (data?.Type === "EmbeddedFile" && data.Params !== undefined) {
      data.Params.CheckSum = Buffer.from(String(data.Params.CheckSum), "hex");
    }
    return make(data);
  };
  const options: FileOptions = {
    name: file.name,
    type: file.mimeType,
    description: file.description,
    creationDate: at,
    modifiedDate: at,
    relationship: "Data",
  };
  doc.file(Buffer.from(file.bytes), options);
  references.ref = make;
};
