import type { FileFault } from "../config/file-fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { readCsvTable } from "./csv-table.ts";
import { READINGS_FORMAT, type ReadingsSet } from "./readings-set.ts";
import { columnsOf, modeOf, readingsOf, WORD_COLUMNS } from "./readings-table.ts";
import { wholeFile } from "./table.ts";

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
  const table = readCsvTable(text, name, {
    format: READINGS_FORMAT,
    head: "needed",
    words: WORD_COLUMNS,
    example: "ordinal,cycle,direction,nominal_mA,output_psi",
  });
  if (!table.ok) return table;
  const { entries, names, placeOf, rows } = table.value;
  const written = entries.get("mode");
  const mode = modeOf(written?.text ?? "gauge", written?.place ?? wholeFile(name));
  if (!mode.ok) return err([mode.fault]);
  const columns = columnsOf(names, placeOf);
  if (!columns.ok) return columns;
  const read = rows();
  if (!read.ok) return read;
  const readings = readingsOf(read.value, columns.value, wholeFile(name));
  if (!readings.ok) return readings;
  return ok({
    format: READINGS_FORMAT,
    name,
    output_unit: columns.value.output.unit,
    mode: mode.value,
    notes: Object.fromEntries([...entries].flatMap(([key, { text: note }]) => (key === "mode" ? [] : [[key, note]]))),
    staged: columns.value.staged,
    readings: readings.value,
  });
};
