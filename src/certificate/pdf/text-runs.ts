import bidiModule, { type Bidi } from "bidi-js";
import type { FontWithGlyphs } from "./glyph-check.ts";
import type { Pdf } from "./page-flow.ts";
import type { FontName } from "./page-style.ts";

/** A piece of a line that one font draws in one direction. */
export interface TextRun {
  readonly text: string;
  /** A face of the page, or one of those that are only there for letters that the faces lack. */
  readonly font: FontName | FurtherFont;
  /** Whether the library lays it out from the right, and whole. */
  readonly rightToLeft: boolean;
}

export type FurtherFont = `further-${number}`;

export const furtherName = (i: number): FurtherFont => `further-${i}`;

/** Everything in here is written from the left and is in every face, or is missed by the check of glyphs. */
const PLAIN = /^[^\u0591-\u1DFF\u2E80-\u{10FFFF}]*$/u;

/** Digits of Arabic and Persian with their marks: they run from the left, and the library turns them round with the letters. */
const DIGITS = /^[\u0660-\u0669\u066B\u066C\u06F0-\u06F9]/u;

/** What the library will turn round, turned round before, so that twelve is not printed as twenty-one. */
const turned = (text: string): string => [...text].reverse().join("");

// The module is the function itself; its types describe another form of it.
const bidi = (bidiModule as unknown as () => Bidi)();

/** Runs in the order of the page (Unicode Standard Annex 9, rule L2): stretches of a level or more are turned round. */
const inSight = (runs: readonly (TextRun & { readonly level: number })[]): readonly TextRun[] => {
  const ordered = [...runs];
  const highest = Math.max(0, ...ordered.map((r) => r.level));
  for (let level = highest; level >= 1; level -= 1) {
    for (let from = 0; from < ordered.length; from += 1) {
      let to = from;
      while ((ordered[to]?.level ?? -1) >= level) to += 1;
      if (to - from > 1) ordered.splice(from, to - from, ...ordered.slice(from, to).reverse());
      from = Math.max(from, to);
    }
  }
  return ordered.map(({ text, font, rightToLeft }) =>
    !rightToLeft && DIGITS.test(text) ? { text: turned(text), font, rightToLeft: true } : { text, font, rightToLeft },
  );
};

/**
 * Splits lines by direction and by the font that has their letters. Names in Arabic, Hebrew or Chinese letters stand in
 * lines of the certificate's own language; what no font can show stays with its face, and the check of glyphs names it.
 */
export const createTextRuns = (doc: Pdf, further: number): ((text: string, font: FontName) => readonly TextRun[]) => {
  const covers = new Map<string, boolean>();
  const has = (font: TextRun["font"], codePoint: number): boolean => {
    const key = `${font} ${codePoint}`;
    const known = covers.get(key);
    if (known !== undefined) return known;
    doc.font(font);
    const shapes = (doc as unknown as { readonly _font: FontWithGlyphs })._font;
    const found = shapes.font.hasGlyphForCodePoint(codePoint);
    covers.set(key, found);
    return found;
  };
  const others: readonly TextRun["font"][] = ["regular", ...Array.from({ length: further }, (_, i) => furtherName(i))];
  return (text, font) => {
    if (PLAIN.test(text)) return [{ text, font, rightToLeft: false }];
    const { levels } = bidi.getEmbeddingLevels(text, "auto");
    const runs: { text: string; font: TextRun["font"]; rightToLeft: boolean; level: number }[] = [];
    let at = 0;
    for (const character of text) {
      const level = levels[at] ?? 0;
      at += character.length;
      const codePoint = character.codePointAt(0) ?? 0;
      const last = runs.at(-1);
      const own = has(font, codePoint) ? font : (others.find((name) => has(name, codePoint)) ?? font);
      const shown = level % 2 === 1 ? (bidi.getMirroredCharacter(character) ?? character) : character;
      const alike = last !== undefined && DIGITS.test(last.text) === DIGITS.test(character);
      if (alike && last.font === own && last.level === level) last.text += shown;
      else runs.push({ text: shown, font: own, rightToLeft: level % 2 === 1, level });
    }
    return inSight(runs);
  };
};
