/** Where text may part: behind a space, a slash, an underscore, and behind the hyphen of a long word. Serial numbers and names such as DG-700 stay whole. */
const PARTS = /(?<=[ /_])|(?<=\p{L}{4}-)(?=\p{L}{3})/u;
/** The pieces of a text that stay whole as long as they fit, without the spaces behind them. */
export const parts = (text: string): readonly string[] => text.split(PARTS).map((part) => part.trimEnd());

/** Where a word that is wider than its line may part. */
const NARROW_PARTS = /(?<=-)/u;

/**
 * Breaks text into lines that fit a width; never at a no-break space. A word wider than the line parts at any hyphen,
 * and at last between characters, so nothing ever runs out of its cell.
 */
export const wrapLines = (text: string, width: number, measure: (piece: string) => number): readonly string[] => {
  const lines: string[] = [];
  for (const paragraph of text.split("\n")) {
    let line = "";
    const end = (): void => {
      if (line.trim() !== "") lines.push(line.trimEnd());
      line = "";
    };
    const fits = (piece: string): boolean => measure((line + piece).trimEnd()) <= width;
    const add = (piece: string, finer: readonly ((word: string) => readonly string[])[]): void => {
      if (!fits(piece)) end();
      const [part, ...others] = finer;
      if (fits(piece) || part === undefined) line += piece;
      else for (const smaller of part(piece)) add(smaller, others);
    };
    const before = lines.length;
    for (const piece of paragraph.split(PARTS)) add(piece, [(word) => word.split(NARROW_PARTS), (word) => [...word]]);
    end();
    if (lines.length === before) lines.push("");
  }
  return lines;
};
