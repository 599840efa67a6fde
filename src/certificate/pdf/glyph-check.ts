import type { FontName } from "./page-style.ts";

/** What a font of the library can be asked. */
export interface FontWithGlyphs {
  readonly font: { hasGlyphForCodePoint(codePoint: number): boolean };
}

export interface MissingGlyph {
  readonly character: string;
  readonly font: FontName;
  readonly text: string;
}

export interface GlyphCheck {
  look(text: string, name: FontName, shapes: FontWithGlyphs): void;
  readonly missing: readonly MissingGlyph[];
}

/** Watches every drawn text for characters that its font lacks: the library would print an empty box without a word. */
export const createGlyphCheck = (): GlyphCheck => {
  const missing: MissingGlyph[] = [];
  const known = new Set<string>();
  return {
    missing,
    look: (text, name, shapes) => {
      for (const character of text) {
        const key = name + character;
        if (known.has(key)) continue;
        known.add(key);
        if (!shapes.font.hasGlyphForCodePoint(character.codePointAt(0) ?? 0)) {
          missing.push({ character, font: name, text });
        }
      }
    },
  };
};
