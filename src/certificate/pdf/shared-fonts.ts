import type { Pdf } from "./page-flow.ts";

/** What is used of a font that the library has opened; its tables are read when they are first needed, and kept. */
interface OpenedFont {
  _glyphs: Record<number, unknown>;
  createSubset(): unknown;
}

interface DocumentFont {
  font: OpenedFont;
  subset: unknown;
}

/** By the bytes themselves, so that fonts that nobody holds any more go with them. */
const opened = new WeakMap<Uint8Array, OpenedFont>();

/**
 * Lets a document use the tables of a font that an earlier document has read, which is most of the work of a short one.
 * Glyphs are forgotten between documents, because the library remembers with each the character that asked for it first:
 * two documents drawn one after the other stay the same bytes as alone.
 */
export const shareFont = (doc: Pdf, name: string, bytes: Uint8Array): void => {
  doc.font(name);
  const own = (doc as unknown as { readonly _font: DocumentFont })._font;
  const shared = opened.get(bytes);
  if (shared === undefined) opened.set(bytes, own.font);
  else {
    shared._glyphs = {};
    own.font = shared;
    own.subset = shared.createSubset();
  }
};
