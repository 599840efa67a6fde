import type { FileFault } from "../config/file-fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { type CsvField, csvFields } from "./csv-fields.ts";
import { type DecimalMark, decimalMark, numberWith } from "./decimal-mark.ts";
import { complaint, type Place, READINGS_FORMAT, type ReadingsSet, wholeFile } from "./readings-set.ts";
import { type Cell, columnsOf, modeOf, type RowReader, readingsOf } from "./readings-table.ts";

/**
 * Readings taken elsewhere, as CSV (`stillpoint-readings 1`):
 *
 *     # stillpoint-readings 1
 *     # mode: gauge                    gauge (when left out), absolute or differential
 *     # decimal: comma                 comma or point; only needed where the numbers do not show it
 *     # taken by: anything             any other `# name: text` is kept as a note
 *     ordinal,cycle,direction,nominal_mA,applied_mA,output_psi
 *     1,1,rising,4,4.0003,3.002
 *     2,1,rising,8,,                   an empty output is a missing reading
 *
 * Fields are separated by comma, semicolon or tab, as in the line of column names. Where the separator is not a comma,
 * numbers may have a decimal comma: one kind of mark in a file, no grouping of digits. The currents are mA, the unit
 * of a pressure stands in its column name, and a water or mercury column names its reference, as output_inH2O(4degC).
 */
export const parseReadingsCsv = (text: string, name: string): Result<ReadingsSet, readonly FileFault[]> => {
  const lines = text
    .replace(/^\uFEFF/u, "")
    .split(/\r\n|\n|\r/u)
    .map((content, i): Line => ({ content, place: { file: name, line: i + 1, column: 1, path: "" } }))
    .filter(({ content }) => !/^[\s;,]*$/u.test(content));
  const head = readHead(lines.filter(isHead), lines[0], name);
  if (!head.ok) return err([head.fault]);
  const mode = modeOf(head.value.mode.text, head.value.mode.place);
  if (!mode.ok) return err([mode.fault]);

  const [header, ...body] = lines.filter((line) => !isHead(line));
  if (header === undefined) {
    return err([
      complaint(
        wholeFile(name),
        "there is no line of column names.",
        "Write it below the head, such as ordinal,cycle,direction,nominal_mA,output_psi.",
        "missing-key",
      ),
    ]);
  }
  const separator = [";", "\t", ","].find((s) => header.content.includes(s)) ?? ",";
  const titles = csvFields(header.content, separator);
  if (titles === null) return err([unclosed(header)]);
  const names = titles.map((t) => t.text);
  const columns = columnsOf(names, (index) => placeIn(header, titles[index], names[index]));
  if (!columns.ok) return columns;

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
      names[i] === "direction" ? [] : [{ text: field.text, place: placeIn(line, field, names[i]) }],
    ),
  );
  const { decimal } = head.value;
  const comma = numbers.find((n) => n.text.includes(","));
  let mark: DecimalMark = decimal?.mark ?? "point";
  if (separator === "," && (comma !== undefined || decimal?.mark === "comma")) {
    faults.push(
      complaint(
        comma?.place ?? decimal?.place ?? wholeFile(name),
        "the comma separates the fields here and cannot be the decimal mark too.",
        "Separate the fields by semicolons, or write decimal points.",
      ),
    );
  } else if (separator !== "," && decimal === null) {
    const shown = decimalMark(numbers);
    if (shown.ok) mark = shown.value;
    else faults.push(shown.fault);
  }
  if (faults.length > 0) return err(faults);

  const readings = readingsOf(
    rows.map((row) => readerOf(row, names, mark)),
    columns.value,
    wholeFile(name),
  );
  if (!readings.ok) return readings;
  return ok({
    format: READINGS_FORMAT,
    name,
    output_unit: columns.value.output.unit,
    mode: mode.value,
    notes: head.value.notes,
    readings: readings.value,
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
  readonly mode: { readonly text: string; readonly place: Place };
  readonly decimal: { readonly mark: DecimalMark; readonly place: Place } | null;
  readonly notes: Readonly<Record<string, string>>;
}

const isHead = ({ content }: Line): boolean => /^\s*"?#/u.test(content);

/** Text of a head line; spreadsheets add quotation marks around it and separators behind it. */
const headText = ({ content }: Line): string =>
  content
    .trim()
    .replace(/[;,\t]+$/u, "")
    .replace(/^"(.*)"$/u, "$1")
    .replace(/^#\s*/u, "")
    .trim();

const readHead = (head: readonly Line[], first: Line | undefined, name: string): Result<Head, FileFault> => {
  if (first === undefined || first !== head[0] || headText(first) !== READINGS_FORMAT) {
    const found = first === undefined ? "The file is empty" : `It begins with "${first.content.slice(0, 60)}"`;
    return err(
      complaint(
        first?.place ?? wholeFile(name),
        `this is not a readings file of this version. ${found}.`,
        `Begin it with "# ${READINGS_FORMAT}".`,
      ),
    );
  }
  const entries = new Map<string, { readonly text: string; readonly place: Place }>();
  for (const line of head.slice(1)) {
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
  const mode = entries.get("mode") ?? { text: "gauge", place: wholeFile(name) };
  const decimal = entries.get("decimal");
  entries.delete("mode");
  entries.delete("decimal");
  const notes = Object.fromEntries([...entries].map(([key, { text }]) => [key, text]));
  if (decimal === undefined) return ok({ mode, decimal: null, notes });
  const { text, place } = decimal;
  if (text === "comma" || text === "point") return ok({ mode, decimal: { mark: text, place }, notes });
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
  ({ line, fields }: Row, names: readonly string[], mark: DecimalMark): RowReader =>
  (column): Cell | undefined => {
    const field = fields[names.indexOf(column)];
    if (field === undefined) return undefined;
    const { text } = field;
    const value = text === "" ? null : column === "direction" ? text : numberWith(text, mark);
    return { value, place: placeIn(line, field, column) };
  };
