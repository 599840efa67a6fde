import type { Instant } from "./open-document.ts";
import type { Pdf } from "./page-flow.ts";

/** Who will sign the finished bytes; the room for the signature is left while the file is drawn. */
export interface SignatureField {
  readonly name: string;
  readonly reason: string;
  readonly place: string;
  readonly at: Instant;
}

/** Bytes kept free for the signature with its certificates. */
const ROOM = 12288;

/** As wide as any place in the file; the signing library looks for it and writes the real places over it. */
const OPEN_PLACE = "**********";

interface Writer {
  readonly _root: { readonly data: Record<string, unknown> };
  readonly page: { readonly dictionary: unknown; readonly annotations: unknown[] };
  endAcroForm(): void;
  ref(data: object): { end(): void };
}

/**
 * An unseen signature field on the first page (ISO 32000-1, 12.7.4.5 and 12.8.1). The kind is `adbe.pkcs7.detached`, a plain
 * CMS signature over the whole file: it claims no PAdES level, because the library signs without the attributes those ask for.
 */
export const addSignatureField = (doc: Pdf, field: SignatureField): void => {
  doc.switchToPage(doc.bufferedPageRange().start);
  const writer = doc as unknown as Writer;
  const signature = writer.ref({
    Type: "Sig",
    Filter: "Adobe.PPKLite",
    SubFilter: "adbe.pkcs7.detached",
    ByteRange: [0, OPEN_PLACE, OPEN_PLACE, OPEN_PLACE],
    Contents: Buffer.alloc(ROOM),
    Name: new String(field.name),
    Reason: new String(field.reason),
    Location: new String(field.place),
    M: field.at,
  });
  signature.end();
  const widget = writer.ref({
    Type: "Annot",
    Subtype: "Widget",
    FT: "Sig",
    T: new String("Signature"),
    V: signature,
    Rect: [0, 0, 0, 0],
    // Printed and locked: no flag that hides it.
    F: 132,
    P: writer.page.dictionary,
  });
  widget.end();
  writer.page.annotations.push(widget);
  const form = writer.ref({ SigFlags: 3, Fields: [widget] });
  form.end();
  // The library knows forms of its own making only; ours is put in its place when the library has looked for one.
  writer.endAcroForm = () => {
    writer._root.data["AcroForm"] = form;
  };
};
