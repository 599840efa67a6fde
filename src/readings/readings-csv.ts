import { err, ok, type Result } from "../vocabulary/result.ts";
import { type FileFault, fileFault, type Place, READINGS_FORMAT, type ReadingsSet } from "./readings-set.ts";
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
  const at = (line: number | null, column: number | null = null): Place => ({ file: name, line, column });
  const lines = text.replace(/^\uFEFF/u, "").split(/\r\n|\n|\r/u);
  const rows = lines
    .map((content, i) => ({ content, line: i + 1 }))
    .filter(({ content }) => !/^[\s;,]*$/u.test(content));

  const head = rows
    .filter(({ content }) => isHead(content))
    .map(({ content, line }) => ({ text: headText(content), line }));
  const first = rows[0];
  if (first === undefined || !isHead(first.content) || headText(first.content) !== READINGS_FORMAT) {
    const found = first === undefined ? "The file is empty" : `It begins with "${first.content.slice(0, 60)}"`;
    return err([
      fileFault(
        at(first?.line ?? 1),
        `this is not a readings file of this version. ${found}.`,
        `Begin it with "# ${READINGS_FORMAT}".`,
      ),
    ]);
  }
  const notes = new Map<string, string>();
  for (const { text: entry, line } of head.slice(1)) {
    const [, key = "", value = ""] = /^([^:]+):\s*(.*)$/u.exec(entry) ?? [];
    if (key === "")
      return err([fileFault(at(line), `"# ${entry}" is not "# name: text".`, "Write a name, a colon and a text.")]);
    if (notes.has(key)) return err([fileFault(at(line), `"${key}" is there twice.`, "Leave one of them.")]);
    notes.set(key, value);
  }
  const { mode: modeText = "gauge", decimal = "", ...others } = Object.fromEntries(notes);
  const mode = modeOf(modeText, at(head.find((h) => h.text.startsWith("mode:"))?.line ?? null));
  if (!mode.ok) return err([mode.fault]);
  if (decimal !== "" && decimal !== "comma" && decimal !== "point") {
    return err([
      fileFault(at(null), `the decimal mark "${decimal}" is not known.`, "Write # decimal: comma or # decimal: point."),
    ]);
  }

  const [header, ...body] = rows.filter(({ content }) => !isHead(content));
  if (header === undefined) {
    return err([
      fileFault(
        at(null),
        "there is no line of column names.",
        "Write it below the head, such as ordinal,cycle,direction,nominal_mA,output_psi.",
      ),
    ]);
  }
  const separator = [";", "\t", ","].find((s) => header.content.includes(s)) ?? ",";
  const names = fieldsOf(header.content, separator);
  if (names === null)
    return err([fileFault(at(header.line), "a quotation mark is not closed.", "Close it in the same line.")]);
  const columns = columnsOf(names, (index) => at(header.line, index + 1));
  if (!columns.ok) return columns;

  const faults: FileFault[] = [];
  const table: { readonly fields: readonly string[]; readonly line: number }[] = [];
  for (const { content, line } of body) {
    const fields = fieldsOf(content, separator);
    if (fields === null)
      faults.push(fileFault(at(line), "a quotation mark is not closed.", "Close it in the same line."));
    else if (fields.length !== names.length) {
      const hint =
        separator === "," && fields.length > names.length
          ? " If the numbers have a decimal comma, separate the fields by semicolons."
          : "";
      faults.push(
        fileFault(
          at(line),
          `there are ${fields.length} fields and ${names.length} columns.`,
          `Write one field for each column, empty where there is nothing.${hint}`,
        ),
      );
    } else table.push({ fields, line });
  }
  const numeric = table.flatMap(({ fields, line }) =>
    fields.flatMap((field, index) => (names[index] === "direction" ? [] : [{ field, place: at(line, index + 1) }])),
  );
  const marks = decimalMark(numeric, separator, decimal);
  if (!marks.ok) faults.push(marks.fault);
  if (faults.length > 0 || !marks.ok) return err(faults);

  const readers = table.map(
    ({ fields, line }): RowReader =>
      (column): Cell | undefined => {
        const index = names.indexOf(column);
        const field = fields[index];
        if (field === undefined) return undefined;
        const value = field === "" ? null : column === "direction" ? field : numberOf(field, marks.value);
        return { value, place: at(line, index + 1) };
      },
  );
  const readings = readingsOf(readers, columns.value, at(null));
  if (!readings.ok) return readings;
  return ok({
    format: READINGS_FORMAT,
    name,
    output_unit: columns.value.output.unit,
    mode: mode.value,
    notes: others,
    readings: readings.value,
  });
};

const isHead = (line: string): boolean => /^\s*"?#/u.test(line);

/** Text of a head line; spreadsheets add quotation marks around it and separators behind it. */
const headText = (line: string): string =>
  line
    .trim()
    .replace(/[;,\t]+$/u, "")
    .replace(/^"(.*)"$/u, "$1")
    .replace(/^#\s*/u, "")
    .trim();

/** Fields of one line, quotation marks as in RFC 4180; null when one is not closed. */
const fieldsOf = (line: string, separator: string): readonly string[] | null => {
  const fields: string[] = [];
  let field = "";
  let quoted = false;
  for (let i = 0; i < line.length; i += 1) {
    const c = line[i] ?? "";
    if (c === '"') {
      if (quoted && line[i + 1] === '"') {
        field += '"';
        i += 1;
      } else quoted = !quoted;
    } else if (c === separator && !quoted) {
      fields.push(field.trim());
      field = "";
    } else field += c;
  }
  fields.push(field.trim());
  return quoted ? null : fields;
};

type Mark = "point" | "comma";

const NUMBER = {
  point: /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/u,
  comma: /^[+-]?(?:\d+,?\d*|,\d+)(?:[eE][+-]?\d+)?$/u,
};
/** One mark with exactly three digits behind and one to three before: may as well be a group of thousands. */
const LIKE_A_GROUP = /^[+-]?[1-9]\d{0,2}[.,]\d{3}$/u;

interface NumericField {
  readonly field: string;
  readonly place: Place;
}

const decimalMark = (
  cells: readonly NumericField[],
  separator: string,
  declared: "" | Mark,
): Result<Mark, FileFault> => {
  if (separator === ",") {
    const quotedComma = cells.find(({ field }) => field.includes(","));
    if (declared === "comma" || quotedComma !== undefined) {
      return err(
        fileFault(
          quotedComma?.place ?? { file: cells[0]?.place.file ?? "", line: null, column: null },
          "the comma separates the fields here and cannot be the decimal mark too.",
          "Separate the fields by semicolons, or write decimal points.",
        ),
      );
    }
    return ok("point");
  }
  if (declared !== "") return ok(declared);
  const marked = cells.filter(
    ({ field }) => /\d?[.,]\d?/u.test(field) && (NUMBER.point.test(field) || NUMBER.comma.test(field)),
  );
  const commas = marked.filter(({ field }) => field.includes(","));
  const points = marked.filter(({ field }) => field.includes("."));
  const [comma] = commas;
  const [point] = points;
  if (comma !== undefined && point !== undefined) {
    return err(
      fileFault(
        comma.place,
        `"${comma.field}" has a comma, and "${point.field}" in line ${point.place.line} has a point.`,
        "Use one decimal mark in the whole file and no grouping of digits.",
      ),
    );
  }
  const [only] = marked;
  if (only !== undefined && marked.every(({ field }) => LIKE_A_GROUP.test(field))) {
    return err(
      fileFault(
        only.place,
        `"${only.field}" can be read in two ways, and no other number of the file says which.`,
        "Say it in the head: # decimal: comma or # decimal: point.",
      ),
    );
  }
  return ok(comma === undefined ? "point" : "comma");
};

/** The number, or the text as it is when it is none; the table then refuses it at its place. */
const numberOf = (field: string, mark: Mark): number | string => {
  const plain = field.replace("\u2212", "-");
  return NUMBER[mark].test(plain) ? Number(plain.replace(",", ".")) : field;
};
