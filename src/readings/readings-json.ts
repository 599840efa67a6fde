import { LineCounter, parseDocument } from "yaml";
import type { FileFault } from "../config/file-fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { READINGS_FORMAT, type ReadingsSet } from "./readings-set.ts";
import { columnsOf, modeOf, readingsOf, WORD_COLUMNS } from "./readings-table.ts";
import { type Cell, complaint, type Place, type RowReader, wholeFile } from "./table.ts";

/**
 * Readings taken elsewhere, as JSON (`stillpoint-readings 1`); the names are those of the CSV columns:
 *
 *     { "format": "stillpoint-readings 1", "mode": "gauge", "notes": { "taken by": "anything" },
 *       "readings": [ { "ordinal": 1, "cycle": 1, "direction": "rising", "nominal_mA": 4, "applied_mA": 4.0003,
 *                       "output_psi": 3.002 } ] }
 *
 * `null` stands for a missing reading. All readings have the same names.
 */
export const parseReadingsJson = (text: string, name: string): Result<ReadingsSet, readonly FileFault[]> => {
  const whole = wholeFile(name);
  const read = readJson(text, name);
  if (!read.ok) return read;
  const { json, placeOf } = read.value;
  if (!isObject(json))
    return err([complaint(whole, "this is not a JSON object.", `Begin it with { "format": "${READINGS_FORMAT}".`)]);
  const { format, mode = "gauge", notes = {}, readings, ...unknown } = json;
  if (format !== READINGS_FORMAT) {
    return err([
      complaint(
        placeOf(["format"]),
        `the format is ${JSON.stringify(format) ?? "not given"}.`,
        `Write "format": "${READINGS_FORMAT}".`,
      ),
    ]);
  }
  const faults: FileFault[] = Object.keys(unknown).map((key) =>
    complaint(
      placeOf([key]),
      `"${key}" is not known.`,
      "Known are format, mode, notes and readings; put anything else into notes.",
    ),
  );
  const pressureMode = modeOf(String(mode), placeOf(["mode"]));
  if (!pressureMode.ok) faults.push(pressureMode.fault);
  if (!isObject(notes) || !Object.values(notes).every((v) => typeof v === "string")) {
    faults.push(
      complaint(placeOf(["notes"]), "notes are not texts by name.", 'Write them as "notes": { "name": "text" }.'),
    );
  }
  if (!Array.isArray(readings) || !readings.every(isObject)) {
    faults.push(
      complaint(placeOf(["readings"]), "readings are not a list of objects.", "Write one object for each reading."),
    );
    return err(faults);
  }
  const names = [...new Set(readings.flatMap((r) => Object.keys(r)))];
  const columns = columnsOf(names, (index) => {
    const row = readings.findIndex((r) => Object.hasOwn(r, names[index] ?? ""));
    return row < 0 ? whole : placeOf(["readings", row, names[index] ?? ""]);
  });
  if (!columns.ok) return err([...faults, ...columns.fault]);
  const rows = readings.map(
    (reading, row): RowReader =>
      (column): Cell => {
        const value = reading[column] ?? null;
        const path = Object.hasOwn(reading, column) ? ["readings", row, column] : ["readings", row];
        return { value: cellValue(column, value), place: placeOf(path) };
      },
  );
  const taken = readingsOf(rows, columns.value, whole);
  if (!taken.ok) return err([...faults, ...taken.fault]);
  if (faults.length > 0 || !pressureMode.ok) return err(faults);
  return ok({
    format: READINGS_FORMAT,
    name,
    output_unit: columns.value.output.unit,
    mode: pressureMode.value,
    notes: notes as Readonly<Record<string, string>>,
    staged: columns.value.staged,
    readings: taken.value,
  });
};

export interface JsonText {
  readonly json: unknown;
  readonly placeOf: Places["placeOf"];
}

/** JSON with the place of each value; a name that stands twice in one object is refused. */
export const readJson = (text: string, name: string): Result<JsonText, readonly FileFault[]> => {
  const body = text.replace(/^\uFEFF/u, "");
  let json: unknown;
  try {
    json = JSON.parse(body);
  } catch (error) {
    return err([
      complaint(
        placeOfSyntax(body, name, String(error)),
        `this is not JSON: ${String(error).replace(/^SyntaxError: /u, "")}.`,
        "Correct the text at this place.",
      ),
    ]);
  }
  const { placeOf, doubled } = placesIn(body, name);
  if (doubled === null) return ok({ json, placeOf });
  return err([
    complaint(
      doubled,
      "a name is there twice in one object.",
      "Leave one of them; which one counts is not for a program to guess.",
    ),
  ]);
};

/** A number in quotation marks is text, and text is not a reading. */
const cellValue = (column: string, value: unknown): Cell["value"] => {
  if (value === null || typeof value === "number") return value;
  return WORD_COLUMNS.includes(column) ? String(value) : JSON.stringify(value);
};

export const isObject = (value: unknown): value is Record<string, unknown> =>
  typeof value === "object" && value !== null && !Array.isArray(value);

interface Places {
  readonly placeOf: (path: readonly (string | number)[]) => Place;
  /** A name that stands twice in one object; JSON itself would quietly take the last. */
  readonly doubled: Place | null;
}

/** Where a value stands, found by reading the JSON a second time as the YAML that it also is. */
const placesIn = (text: string, file: string): Places => {
  const counter = new LineCounter();
  const document = parseDocument(text, { lineCounter: counter });
  const at = (offset: number, path: string): Place => {
    const { line, col } = counter.linePos(offset);
    return { file, line, column: col, path };
  };
  const twice = document.errors.find((e) => e.code === "DUPLICATE_KEY");
  return {
    placeOf: (path) => {
      const node: unknown = document.getIn(path, true);
      if (!isObject(node) || !Array.isArray(node["range"])) return { ...wholeFile(file), path: path.join(".") };
      return at(Number(node["range"][0]), path.join("."));
    },
    doubled: twice === undefined ? null : at(twice.pos[0], ""),
  };
};

const JSON_TOKEN =
  /\s*(?:[{}[\],:]|"(?:[^"\\\p{Cc}]|\\(?:["\\/bfnrt]|u[\da-fA-F]{4}))*"|-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?(?![\w.])|(?:true|false|null)(?!\w))/uy;

/** Where JSON stops being JSON: at the first token that is none, else where the engine or the YAML reader says. */
const placeOfSyntax = (text: string, file: string, message: string): Place => {
  const counter = new LineCounter();
  const [first] = parseDocument(text, { lineCounter: counter }).errors;
  const end = text.trimEnd().length;
  const offset = firstWrongToken(text);
  const position = /at position (\d+)/u.exec(message)?.[1];
  const wrong = offset < end ? offset : position !== undefined ? Number(position) : (first?.pos[0] ?? end);
  const { line, col } = counter.linePos(Math.min(wrong, Math.max(0, end - 1)));
  return { file, line, column: col, path: "" };
};

/** Offset of the first thing that is no token of JSON, or of a bracket that closes on a comma; else the end. */
const firstWrongToken = (text: string): number => {
  JSON_TOKEN.lastIndex = 0;
  let offset = 0;
  let previous = "";
  for (;;) {
    const token = JSON_TOKEN.exec(text)?.[0];
    const mark = token?.trim() ?? "";
    if (token === undefined || (previous === "," && (mark === "]" || mark === "}"))) {
      return offset + (/^\s*/u.exec(text.slice(offset))?.[0].length ?? 0);
    }
    offset += token.length;
    previous = mark;
  }
};
