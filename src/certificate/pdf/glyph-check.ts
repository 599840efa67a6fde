import type { Pdf } from "./page-flow.ts";
import { FONT_NAMES, type FontName } from "./page-style.ts";

interface FontWithGlyphs {
  readonly font: { hasGlyphForCodePoint(codePoint: number): boolean };
}

export interface MissingGlyph {
  readonly character: string;
  readonly font: FontName;
  readonly text: string;
}

/** Every text of a value made of texts, lists and records. */
const textsIn = function* (value: unknown): Generator<string> {
  if (typeof value === "string") yield value;
  else if (Array.isArray(value)) for (const item of value) yield* textsIn(item);
  else if (typeof value === "object" && value !== null) for (const item of Object.values(value)) yield* textsIn(item);
};

/**
 * Characters that a font cannot show. The library would print an empty box without a word, so the whole model is checked
 * before anything is drawn.
 */
export const missingGlyphs = (doc: Pdf, model: unknown): readonly MissingGlyph[] => {
  const missing: MissingGlyph[] = [];
  for (const font of FONT_NAMES) {
    doc.font(font);
    const { font: shapes } = (doc as unknown as { _font: FontWithGlyphs })._font;
    const seen = new Map<string, boolean>();
    for (const text of textsIn(model)) {
      for (const character of text) {
        if (character === "\n") continue;
        let known = seen.get(character);
        if (known === undefined) {
          known = shapes.hasGlyphForCodePoint(character.codePointAt(0) ?? 0);
          seen.set(character, known);
          if (!known) missing.push({ character, font, text });
        }
      }
    }
  }
  return missing;
};
