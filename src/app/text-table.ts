/** Columns under each other: the first ones to the left, all others to the right. */
export const textTable = (rows: readonly (readonly string[])[], leftColumns = 1): readonly string[] => {
  const columns = Math.max(0, ...rows.map((row) => row.length));
  const widths = Array.from({ length: columns }, (_, i) => Math.max(...rows.map((row) => (row[i] ?? "").length)));
  return rows.map((row) =>
    row
      .map((cell, i) => (i < leftColumns ? cell.padEnd(widths[i] ?? 0) : cell.padStart(widths[i] ?? 0)))
      .join("  ")
      .trimEnd(),
  );
};

/** A figure with at most `digits` significant digits, without trailing zeros. */
export const shortNumber = (value: number, digits = 6): string => {
  const short = Number(value.toPrecision(digits));
  return String(Object.is(short, -0) ? 0 : short);
};

/** A risk in percent; below a hundredth of a percent the digits mean nothing. */
export const riskText = (share: number): string =>
  share > 0 && share < 1e-4 ? "< 0.01 %" : `${shortNumber(100 * share, 4)} %`;

/** Infinity and NaN have no place in JSON; the first is written as a word, the second must not come up. */
export const jsonText = (value: unknown): string =>
  JSON.stringify(value, (_, v: unknown) =>
    v === Number.POSITIVE_INFINITY ? "infinite" : v === Number.NEGATIVE_INFINITY ? "-infinite" : v,
  );

/** Text broken at blanks so that no line is longer than `width`; `first` stands before it, blanks before what follows. */
export const wrapped = (text: string, first: string, width = 110): readonly string[] => {
  const indent = " ".repeat(first.length);
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(" ")) {
    if (line !== "" && indent.length + line.length + 1 + word.length > width) {
      lines.push(indent + line);
      line = word;
    } else line = line === "" ? word : `${line} ${word}`;
  }
  return [...lines, indent + line].map((l, i) => (i === 0 ? first + l.slice(first.length) : l));
};
