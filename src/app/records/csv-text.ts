/** Rows as CSV, RFC 4180: marks where they are needed, lines ended by CR LF, null as nothing. */
export const csvText = (columns: readonly string[], rows: Iterable<Readonly<Record<string, unknown>>>): string => {
  const field = (value: unknown): string => {
    const text = value === null || value === undefined ? "" : String(value);
    return /[",\r\n]/u.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
  };
  const lines = [columns.join(",")];
  for (const row of rows) lines.push(columns.map((column) => field(row[column])).join(","));
  return `${lines.join("\r\n")}\r\n`;
};
