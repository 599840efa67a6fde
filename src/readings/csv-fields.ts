/** One field of a line of CSV; `column` is the character at which it begins, from 1. */
export interface CsvField {
  readonly text: string;
  readonly column: number;
}

/** Fields of one line, quotation marks as in RFC 4180, blanks around a field dropped; null when a mark is not closed. */
export const csvFields = (line: string, separator: string): readonly CsvField[] | null => {
  const fields: CsvField[] = [];
  let text = "";
  let column = 1;
  let quoted = false;
  for (let i = 0; i < line.length; i += 1) {
    const c = line[i] ?? "";
    if (c === '"') {
      if (quoted && line[i + 1] === '"') {
        text += '"';
        i += 1;
      } else quoted = !quoted;
    } else if (c === separator && !quoted) {
      fields.push({ text: text.trim(), column });
      text = "";
      column = i + 2;
    } else text += c;
  }
  fields.push({ text: text.trim(), column });
  return quoted ? null : fields;
};
