import type { FileFault } from "../config/file-fault.ts";
import { readCsvTable } from "../readings/csv-table.ts";
import { cellReader, complaint, wholeFile } from "../readings/table.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import type { NamedValue } from "./decide-values.ts";
import type { NamedText } from "./job-files.ts";
import { refusedFile } from "./refused-file.ts";

const DECISIONS_FORMAT = "stillpoint-decisions 1";

/** Many values in one CSV: `error`, `limit` (or `lower`, `upper`), `U`, and if wanted `k`, `dof`, `name`. One unit. */
export const valuesOfFile = ({ name: file, text }: NamedText): Result<readonly NamedValue[], Fault> => {
  const table = readCsvTable(text, file, {
    format: DECISIONS_FORMAT,
    head: "optional",
    words: ["name"],
    example: "name,error,limit,U,k",
  });
  if (!table.ok) return refusedFile(table.fault);
  const { names, placeOf } = table.value;
  const whole = wholeFile(file);
  const KNOWN = ["name", "error", "limit", "lower", "upper", "U", "u", "k", "dof"];
  const faults: FileFault[] = names.flatMap((column, i) =>
    KNOWN.includes(column)
      ? []
      : [
          complaint(
            placeOf(i),
            `the column "${column}" is not known.`,
            `Columns are ${KNOWN.join(", ")}.`,
            "unknown-key",
          ),
        ],
  );
  const has = (column: string): boolean => names.includes(column);
  const missing = (column: string): void => {
    faults.push(
      complaint(whole, `the column "${column}" is missing.`, `Columns are ${KNOWN.join(", ")}.`, "missing-key"),
    );
  };
  if (!has("error")) missing("error");
  if (!has("U") && !has("u")) missing("U");
  if (has("U") && has("u"))
    faults.push(
      complaint(whole, "there are columns U and u.", "Leave one of them: k tells the other.", "contradiction"),
    );
  if (has("limit") === (has("lower") || has("upper"))) {
    faults.push(
      complaint(
        whole,
        "limits are needed in one way.",
        "Give a column limit (both ways), or lower, upper or both.",
        "missing-key",
      ),
    );
  }
  if (faults.length > 0) return refusedFile(faults);
  const rows = table.value.rows();
  if (!rows.ok) return refusedFile(rows.fault);
  const { number } = cellReader(faults, whole);
  const values = rows.value.flatMap((row, i): readonly NamedValue[] => {
    const read = (column: string, empty: "refused" | "missing" = "missing"): number | null =>
      has(column) ? number(row, column, empty) : null;
    const error = read("error", "refused");
    const size = has("u") ? "u" : "U";
    const stated = read(size, "refused");
    const limit = read("limit", "refused");
    const [lower, upper, k, dof] = [read("lower"), read("upper"), read("k"), read("dof")];
    const limits =
      limit === null
        ? { lower: lower ?? Number.NEGATIVE_INFINITY, upper: upper ?? Number.POSITIVE_INFINITY }
        : { lower: -limit, upper: limit };
    const place = row("error")?.place ?? whole;
    if (!(limits.lower < limits.upper) || (limit === null && lower === null && upper === null)) {
      faults.push(
        complaint(
          place,
          "the limits of this row leave no room or are not there.",
          "Give a limit above 0, or lower below upper.",
        ),
      );
    }
    for (const [column, value] of [
      [size, stated],
      ["k", k],
      ["dof", dof],
    ] as const) {
      if (value !== null && value <= 0)
        faults.push(complaint(row(column)?.place ?? whole, `${column} is ${value}.`, "It is above 0."));
    }
    if (error === null || stated === null) return [];
    const U = size === "u" ? stated * (k ?? 2) : stated;
    const name = row("name")?.value;
    return [
      {
        name: name === undefined || name === null ? String(i + 1) : String(name),
        value: error,
        U,
        k: k ?? 2,
        degrees_of_freedom: dof ?? Number.POSITIVE_INFINITY,
        limits,
      },
    ];
  });
  if (rows.value.length === 0) faults.push(complaint(whole, "there are no values.", "Write one row for each value."));
  return faults.length > 0 ? refusedFile(faults) : ok(values);
};
