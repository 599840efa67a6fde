/**
 * Breaks text into lines that fit a width. A line may break at a plain space and behind a hyphen or slash; never at a
 * no-break space. A word wider than the line is cut between characters, so nothing ever runs out of its cell.
 */
export const wrapLines = (text: string, width: number, measure: (piece: string) => number): readonly string[] => {
  const lines: string[] = [];
  for (const paragraph of text.split("\n")) {
    let line = "";
    for (const piece of paragraph.split(/(?<=[ \-/_])/u)) {
      if (measure((line + piece).trimEnd()) <= width) {
        line += piece;
        continue;
      }
      if (line.trim() !== "") lines.push(line.trimEnd());
      line = "";
      for (const character of piece) {
        if (line !== "" && measure((line + character).trimEnd()) > width) {
          lines.push(line.trimEnd());
          line = "";
        }
        line += character;
      }
    }
    lines.push(line.trimEnd());
  }
  return lines;
};
