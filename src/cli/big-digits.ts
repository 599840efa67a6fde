/**
 * Digits large enough to be read two metres off: five rows of block characters a digit, so that a terminal row of 5 mm
 * makes 25 mm high digits (20 minutes of arc at 2 m are 11.6 mm, ISO 9241-3). Each glyph is drawn in a 4 by 5 net;
 * the zero is closed and hollow, the eight has a waist, the seven a slant. Beside them a few signs of what to do. Pure:
 * text in, lines out.
 */
const ROWS = 5;

const GLYPHS: Readonly<Record<string, readonly string[]>> = {
  "0": ["####", "#..#", "#..#", "#..#", "####"],
  "1": ["..#.", ".##.", "..#.", "..#.", ".###"],
  "2": ["####", "...#", "####", "#...", "####"],
  "3": ["####", "...#", ".###", "...#", "####"],
  "4": ["#..#", "#..#", "####", "...#", "...#"],
  "5": ["####", "#...", "####", "...#", "####"],
  "6": ["#...", "#...", "####", "#..#", "####"],
  "7": ["####", "...#", "..#.", ".#..", ".#.."],
  "8": [".##.", "#..#", ".##.", "#..#", ".##."],
  "9": ["####", "#..#", "####", "...#", "...#"],
  "+": ["....", ".#..", "###.", ".#..", "...."],
  "-": ["....", "....", "###.", "....", "...."],
  ".": ["..", "..", "..", "..", "#."],
  " ": ["..", "..", "..", "..", ".."],
  // What to do: output up, output down, stop, there, and look.
  "^": ["..#..", ".###.", "#.#.#", "..#..", "..#.."],
  v: ["..#..", "..#..", "#.#.#", ".###.", "..#.."],
  x: ["#####", "#####", "#####", "#####", "#####"],
  "=": [".....", "#####", ".....", "#####", "....."],
  "?": [".###.", "#...#", "..##.", ".....", "..#.."],
};

/** Width in characters of one cell of the net: two make it about as wide as high. */
const CELL = 2;

/**
 * Five lines that show `text` (digits, sign, point, space, a sign of what to do); null when a character has no glyph or the lines would be
 * wider than `width`.
 */
export const bigDigits = (text: string, width: number): readonly string[] | null => {
  const glyphs = [...text].map((character) => GLYPHS[character]);
  if (glyphs.some((glyph) => glyph === undefined)) return null;
  const lines = Array.from({ length: ROWS }, (_, row) =>
    glyphs
      .map((glyph) => (glyph?.[row] ?? "").replaceAll("#", "█".repeat(CELL)).replaceAll(".", " ".repeat(CELL)))
      .join(" ".repeat(CELL)),
  );
  return lines.every((line) => line.length <= width) ? lines.map((line) => line.trimEnd()) : null;
};
