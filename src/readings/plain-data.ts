import type { FileFault } from "../config/file-fault.ts";
import type { Direction } from "../vocabulary/reading.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { readCsvTable } from "./csv-table.ts";
import { isObject, readJson } from "./readings-json.ts";
import { type Cell, cellReader, complaint, type Place, type RowReader, wholeFile } from "./table.ts";

/** Format of plain columns of numbers, for figures of anything that is no converter. */
const DATA_FORMAT = "stillpoint-data 1";

/** A column by its name: `y_psi` is y, in psi. The unit is only printed, never converted. */
export interface DataColumn {
  readonly name: string;
  readonly unit: string;
}

export interface DataRow {
  readonly x: readonly number[];
  readonly y: number;
  readonly direction: Direction | null;
  readonly cycle: number;
  readonly group: string | null;
}

export interface PlainData {
  readonly name: string;
  /** `x`, or `x1`, `x2`...; none for a plain list of values. */
  readonly x: readonly DataColumn[];
  readonly y: DataColumn;
  readonly directed: boolean;
  readonly grouped: boolean;
  readonly rows: readonly DataRow[];
  /** Rows whose y is empty; they are counted and never guessed. */
  readonly missing: number;
  readonly notes: Readonly<Record<string, string>>;
}

const KNOWN = "y_<unit>, and if wanted x_<unit> or x1, x2 and so on, direction, cycle, group, ordinal";
const WORDS = ["direction", "group"];

interface Columns {
  readonly x: readonly DataColumn[];
  readonly y: DataColumn;
  readonly has: (name: string) => boolean;
}

const columnsOf = (
  names: readonly string[],
  placeOf: (index: number) => Place,
  whole: Place,
): Result<Columns, readonly FileFault[]> => {
  const faults: FileFault[] = [];
  const x: DataColumn[] = [];
  const y: DataColumn[] = [];
  for (const [index, name] of names.entries()) {
    const [, letter, unit = ""] = /^(x\d*|y)(?:_(.+))?$/u.exec(name) ?? [];
    if (names.indexOf(name) !== index) {
      faults.push(
        complaint(placeOf(index), `the column "${name}" is there twice.`, "Leave one of them.", "contradiction"),
      );
    } else if (letter === "y") y.push({ name, unit });
    else if (letter !== undefined) x.push({ name, unit });
    else if (!["direction", "cycle", "group", "ordinal"].includes(name)) {
      faults.push(
        complaint(placeOf(index), `the column "${name}" is not known.`, `Columns are ${KNOWN}.`, "unknown-key"),
      );
    }
  }
  const [only] = y;
  if (only === undefined) {
    faults.push(complaint(whole, 'the column "y" is missing.', `Columns are ${KNOWN}.`, "missing-key"));
  } else if (y.length > 1) {
    faults.push(complaint(whole, `${y.map((c) => c.name).join(" and ")} are both y.`, "Leave one of them."));
  }
  return faults.length > 0 || only === undefined
    ? err(faults)
    : ok({ x, y: only, has: (name) => names.includes(name) });
};

const rowsOf = (
  readers: readonly RowReader[],
  columns: Columns,
  whole: Place,
): Result<Pick<PlainData, "rows" | "missing">, readonly FileFault[]> => {
  const faults: FileFault[] = [];
  const { number, counting } = cellReader(faults, whole);
  let missing = 0;
  const rows = readers.flatMap((row): readonly DataRow[] => {
    const x = columns.x.map(({ name }) => number(row, name, "refused"));
    const y = number(row, columns.y.name, "missing");
    const cycle = columns.has("cycle") ? counting(row, "cycle") : 1;
    const way = columns.has("direction") ? (row("direction")?.value ?? null) : null;
    const direction = way === "rising" || way === "falling" ? way : null;
    if (columns.has("direction") && direction === null) {
      faults.push(
        complaint(
          row("direction")?.place ?? whole,
          `direction is "${way ?? ""}".`,
          "Write rising or falling, as y went.",
        ),
      );
    }
    const group = columns.has("group") ? String(row("group")?.value ?? "") : null;
    if (group === "") faults.push(complaint(row("group")?.place ?? whole, "group is empty.", "Every row needs it."));
    if (y === null && (row(columns.y.name)?.value ?? null) === null) missing += 1;
    if (y === null || cycle === null || x.includes(null)) return [];
    return [{ x: x.filter((v) => v !== null), y, direction, cycle, group }];
  });
  if (faults.length > 0) return err(faults);
  return rows.length === 0
    ? err([complaint(whole, "there are no values.", "Write one row for each value.")])
    : ok({ rows, missing });
};

const assembled = (
  name: string,
  columns: Columns,
  rows: Result<readonly RowReader[], readonly FileFault[]>,
  notes: PlainData["notes"],
): Result<PlainData, readonly FileFault[]> => {
  if (!rows.ok) return rows;
  const read = rowsOf(rows.value, columns, wholeFile(name));
  if (!read.ok) return read;
  const { x, y, has } = columns;
  return ok({ name, x, y, directed: has("direction"), grouped: has("group"), ...read.value, notes });
};

/** Plain columns of numbers as CSV; the head may be left out. Separators and decimal marks as in readings files. */
export const parseDataCsv = (text: string, name: string): Result<PlainData, readonly FileFault[]> => {
  const table = readCsvTable(text, name, {
    format: DATA_FORMAT,
    head: "optional",
    words: WORDS,
    example: "x_mA,y_psi",
  });
  if (!table.ok) return table;
  const columns = columnsOf(table.value.names, table.value.placeOf, wholeFile(name));
  if (!columns.ok) return columns;
  const notes = Object.fromEntries([...table.value.entries].map(([key, { text: note }]) => [key, note]));
  return assembled(name, columns.value, table.value.rows(), notes);
};

/**
 * The same as JSON: `{ "format": "stillpoint-data 1", "data": { "x_mA": [4, 12], "y_psi": [3, 9] } }`, or `data` as a
 * list of objects. `null` is a missing value.
 */
export const parseDataJson = (text: string, name: string): Result<PlainData, readonly FileFault[]> => {
  const whole = wholeFile(name);
  const read = readJson(text, name);
  if (!read.ok) return read;
  const { json, placeOf } = read.value;
  const refuse = (path: readonly string[], message: string, remedy: string): Result<never, readonly FileFault[]> =>
    err([complaint(placeOf(path), message, remedy)]);
  if (!isObject(json))
    return err([complaint(whole, "this is not a JSON object.", `Begin it with { "format": "${DATA_FORMAT}".`)]);
  const { format, notes = {}, data, ...unknown } = json;
  const [extra] = Object.keys(unknown);
  if (format !== DATA_FORMAT) {
    return refuse(
      ["format"],
      `the format is ${JSON.stringify(format) ?? "not given"}.`,
      `Write "format": "${DATA_FORMAT}".`,
    );
  }
  if (extra !== undefined) return refuse([extra], `"${extra}" is not known.`, "Known are format, notes and data.");
  if (!isObject(notes) || !Object.values(notes).every((v) => typeof v === "string")) {
    return refuse(["notes"], "notes are not texts by name.", 'Write them as "notes": { "name": "text" }.');
  }
  const table = tableOf(data, placeOf);
  if (table === null) {
    return refuse(
      ["data"],
      "data is neither columns of one length nor a list of objects.",
      'Write "data": { "x": [...], "y": [...] }.',
    );
  }
  const columns = columnsOf(table.names, () => placeOf(["data"]), whole);
  if (!columns.ok) return columns;
  return assembled(name, columns.value, ok(table.rows), notes as Readonly<Record<string, string>>);
};

const cellOf = (column: string, value: unknown, place: Place): Cell => ({
  value:
    value === null || typeof value === "number"
      ? value
      : WORDS.includes(column)
        ? String(value)
        : JSON.stringify(value),
  place,
});

const tableOf = (
  data: unknown,
  placeOf: (path: readonly (string | number)[]) => Place,
): { readonly names: readonly string[]; readonly rows: readonly RowReader[] } | null => {
  if (Array.isArray(data)) {
    if (!data.every(isObject)) return null;
    const names = [...new Set(data.flatMap((row) => Object.keys(row)))];
    return {
      names,
      rows: data.map((row, i) => (column) => cellOf(column, row[column] ?? null, placeOf(["data", i, column]))),
    };
  }
  if (!isObject(data)) return null;
  const columns = Object.entries(data);
  const length = columns[0]?.[1];
  if (!Array.isArray(length)) return null;
  if (!columns.every(([, values]) => Array.isArray(values) && values.length === length.length)) return null;
  return {
    names: columns.map(([name]) => name),
    rows: length.map((_, i) => (column) => {
      const values = data[column];
      return cellOf(column, Array.isArray(values) ? (values[i] ?? null) : null, placeOf(["data", column, i]));
    }),
  };
};
