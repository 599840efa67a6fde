import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";

/**
 * Chinese letters for names of customers: a font under the SIL Open Font License, which comes in slices of some hundred
 * letters each. Only the slices that a text needs are read, and only the letters that are drawn go into the PDF.
 */
const home = dirname(createRequire(import.meta.url).resolve("@fontsource/zcool-xiaowei/package.json"));

interface Slice {
  readonly file: string;
  readonly ranges: readonly (readonly [number, number])[];
}

let slices: readonly Slice[] | null = null;

const readSlices = (): readonly Slice[] => {
  const listed = JSON.parse(readFileSync(join(home, "unicode.json"), "utf8")) as Readonly<Record<string, string>>;
  return Object.entries(listed)
    .filter(([name]) => name.startsWith("["))
    .map(([name, ranges]) => ({
      file: join(home, "files", `zcool-xiaowei-${name.slice(1, -1)}-400-normal.woff`),
      ranges: [...ranges.matchAll(/U\+([0-9a-f]+)(?:-([0-9a-f]+))?/gi)].map(([, from = "", to]) => [
        Number.parseInt(from, 16),
        Number.parseInt(to ?? from, 16),
      ]),
    }));
};

/** From the radicals of Chinese letters to the end; nothing below needs a further font. */
const BEYOND = /[\u2E80-\u{10FFFF}]/gu;

/** Fonts for the letters of a text that the faces of the certificate lack, in the order of the list; mostly none. */
export const furtherFonts = (text: string): readonly Uint8Array[] => {
  const wanted = new Set([...text.matchAll(BEYOND)].map(([letter]) => letter.codePointAt(0) ?? 0));
  if (wanted.size === 0) return [];
  slices ??= readSlices();
  return slices
    .filter(({ ranges }) => [...wanted].some((c) => ranges.some(([from, to]) => c >= from && c <= to)))
    .map(({ file }) => new Uint8Array(readFileSync(file)));
};
