import type { FileFault } from "../config/file-fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { type CsvField, csvFields } from "./csv-fields.ts";
import { type DecimalMark, decimalMark, numberWith } from "./decimal-mark.ts";
import { type Cell, complaint, type Place, type RowReader, wholeFile } from "./table.ts";

export interface CsvOptions {
  /** First line of the head, behind its `#`. */
  readonly format: string;
  /** Whether a file without that first line is taken as well. */
  readonly head: "needed" | "optional";
  /** Columns that hold words; all others hold numbers. */
  readonly words: readonly string[];
  /** An example of a line of column names, for the message when there is none. */
  readonly example: string;
}

export interface HeadEntry {
  readonly text: string;
  readonly place: Place;
}

/** A table of text. What its columns mean is for the caller to say; `rows` is asked after the columns are understood. */
export interface CsvTable {
  /** `# name: text` lines of the head, without the decimal mark. */
  readonly entries: ReadonlyMap<string, HeadEntry>;
  readonly names: readonly string[];
  readonly placeOf: (index: number) => Place;
  readonly rows: () => Result<readonly RowReader[], readonly FileFault[]>;
}

/** Head, column names and rows of a CSV file with comma, semicolon or tab between its fields. */
export const readCsvTable = (
  text: string,
  name: string,
  options: CsvOptions,
): Result<CsvTable, readonly FileFault[]> => {
  const lines = text
    .replace(/^\uFEFF/u, "")
    .split(/\r\n|\n|\r/u)
    .map((content, i): Line => ({ content, place: { file: name, line: i + 1, column: 1, path: "" } }))
    .filter(({ content }) => !/^[\s;,]*$/u.test(content));
  const head = readHead(lines.filter(isHead), lines[0], name, options);
  if (!head.ok) return err([head.fault]);
  const [header, ...body] = lines.filter((line) => !isHead(line));
  if (header === undefined) {
    return err([
      complaint(
        wholeFile(name),
        "there is no line of column names.",
        `Write it below the head, such as ${options.example}.`,
        "missing-key",
      ),
    ]);
  }
  const separator = [";", "\t", ","].find((s) => header.content.includes(s)) ?? ",";
  const titles = csvFields(header.content, separator);
  if (titles === null) return err([unclosed(header)]);
  const names = titles.map((t) => t.text);
  return ok({
    entries: head.value.entries,
    names,
    placeOf: (index) => placeIn(header, titles[index], names[index]),
    rows: () => readRows(body, names, separator, head.value.decimal, name, options),
  });
};

interface Line {
  readonly content: string;
  readonly place: Place;
}

interface Row {
  readonly line: Line;
  readonly fields: readonly CsvField[];
}

interface Head {
  readonly decimal: { readonly mark: DecimalMark; readonly place: Place } | null;
  readonly entries: ReadonlyMap<string, HeadEntry>;
}

const readRows = (
  body: readonly Line[],
  names: readonly string[],
  separator: string,
  decimal: Head["decimal"],
  file: string,
  options: CsvOptions,
): Result<readonly RowReader[], readonly FileFault[]> => {
  const faults: FileFault[] = [];
  const rows: Row[] = [];
  for (const line of body) {
    const fields = csvFields(line.content, separator);
    if (fields === null) faults.push(unclosed(line));
    else if (fields.length !== names.length) faults.push(miscounted(line, fields.length, names.length, separator));
    else rows.push({ line, fields });
  }
  const numbers = rows.flatMap(({ line, fields }) =>
    fields.flatMap((field, i) =>
      options.words.includes(names[i] ?? "") ? [] : [{ text: field.text, place: placeIn(line, field, names[i]) }],
    ),
  );
  const comma = numbers.find((n) => n.text.includes(","));
  let mark: DecimalMark = decimal?.mark ?? "point";
  if (separator === "," && (comma !== undefined || decimal?.mark === "comma")) {
    faults.push(
      complaint(
        comma?.place ?? decimal?.place ?? wholeFile(file),
        "the comma separates the fields here and cannot be the decimal mark too.",
        "Separate the fields by semicolons, or write decimal points.",
      ),
    );
  } else if (separator !== "," && decimal === null) {
    const shown = decimalMark(numbers);
    if (shown.ok) mark = shown.value;
    else faults.push(shown.fault);
  }
  return faults.length > 0 ? err(faults) : ok(rows.map((row) => readerOf(row, names, mark, options.words)));
};

const isHead = ({ content }: Line): boolean => /^\s*"?#/u.test(content);

/** Text of a head line; spreadsheets add quotation marks around it and separators behind it. */
const headText = ({ content }: Line): string =>
  content
    .trim()
    .replace(/[;,\t]+$/u, "")
    .replace(/^"(.*)"$/u, "$1")
    .replace(/^#\s*/u, "")
    .trim();

const readHead = (
  head: readonly Line[],
  first: Line | undefined,
  name: string,
  options: CsvOptions,
): Result<Head, FileFault> => {
  const titled = first !== undefined && first === head[0] && headText(first) === options.format;
  const otherFormat = first !== undefined && first === head[0] && /^stillpoint-/u.test(headText(first));
  if (!titled && (options.head === "needed" || first === undefined || otherFormat)) {
    const found = first === undefined ? "The file is empty" : `It begins with "${first.content.slice(0, 60)}"`;
    return err(
      complaint(
        first?.place ?? wholeFile(name),
        `this is not a ${options.format.split(/[- ]/u)[1]} file of this version. ${found}.`,
        `Begin it with "# ${options.format}".`,
      ),
    );
  }
  const entries = new Map<string, HeadEntry>();
  for (const line of titled ? head.slice(1) : head) {
    const entry = headText(line);
    const [, key = "", text = ""] = /^([^:]+):\s*(.*)$/u.exec(entry) ?? [];
    if (key === "") {
      return err(complaint(line.place, `"# ${entry}" is not "# name: text".`, "Write a name, a colon and a text."));
    }
    if (entries.has(key)) {
      return err(complaint(line.place, `"${key}" is there twice.`, "Leave one of them.", "contradiction"));
    }
    entries.set(key, { text, place: line.place });
  }
  const decimal = entries.get("decimal");
  entries.delete("decimal");
  if (decimal === undefined) return ok({ decimal: null, entries });
  const { text, place } = decimal;
  if (text === "comma" || text === "point") return ok({ decimal: { mark: text, place }, entries });
  return err(
    complaint(place, `the decimal mark "${text}" is not known.`, "Write # decimal: comma or # decimal: point."),
  );
};

const placeIn = (line: Line, field: CsvField | undefined, name: string | undefined): Place => ({
  ...line.place,
  column: field?.column ?? 1,
  path: name ?? "",
});

const unclosed = (line: Line): FileFault =>
  complaint(line.place, "a quotation mark is not closed.", "Close it in the same line.");

const miscounted = (line: Line, fields: number, columns: number, separator: string): FileFault => {
  const hint =
    separator === "," && fields > columns
      ? " If the numbers have a decimal comma, separate the fields by semicolons."
      : "";
  return complaint(
    line.place,
    `there are ${fields} fields and ${columns} columns.`,
    `Write one field for each column, empty where there is nothing.${hint}`,
  );
};

const readerOf =
  ({ line, fields }: Row, names: readonly string[], mark: DecimalMark, words: readonly string[]): RowReader =>
  (column): Cell | undefined => {
    const field = fields[names.indexOf(column)];
    if (field === undefined) return undefined;
    const { text } = field;
    const value = text === "" ? null : words.includes(column) ? text : numberWith(text, mark);
    return { value, place: placeIn(line, field, column) };
  };
