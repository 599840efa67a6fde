import type { FileFault, FileFaultCode } from "../config/file-fault.ts";

/** Small words shared by all tables of numbers that a person wrote elsewhere. */

export interface Place {
  readonly file: string;
  /** Lines and columns count from 1. */
  readonly line: number;
  readonly column: number;
  /** Name of the column, or the path in JSON; empty for the whole file. */
  readonly path: string;
}

export const wholeFile = (file: string): Place => ({ file, line: 1, column: 1, path: "" });

export const complaint = (
  place: Place,
  message: string,
  remedy: string,
  code: FileFaultCode = "bad-value",
): FileFault => ({ ...place, code, message, remedy });

/** A cell as it was read from text or JSON, before it means anything. null: left empty. */
export interface Cell {
  readonly value: string | number | null;
  readonly place: Place;
}

/** undefined: there is no such column. */
export type RowReader = (column: string) => Cell | undefined;

export interface CellReader {
  /** A number; null when the cell is empty, or when it is no number, which is complained of. */
  readonly number: (row: RowReader, column: string, empty: "refused" | "missing") => number | null;
  /** A whole number from 1. */
  readonly counting: (row: RowReader, column: string) => number | null;
}

/** Reads cells and puts what is wrong with them on `faults`. */
export const cellReader = (faults: FileFault[], file: Place): CellReader => {
  const complain = (cell: Cell | undefined, message: string, remedy: string): void => {
    faults.push(complaint(cell?.place ?? file, message, remedy));
  };
  const number: CellReader["number"] = (row, column, empty) => {
    const cell = row(column);
    const value = cell?.value ?? null;
    if (value === null) {
      if (empty === "refused") complain(cell, `${column} is empty.`, "Every row needs it.");
      return null;
    }
    if (typeof value === "number" && Number.isFinite(value)) return value;
    complain(
      cell,
      `${column} is "${value}", which is not a reading.`,
      empty === "missing" ? "Write a number, or leave the cell empty for a missing reading." : "Write a number.",
    );
    return null;
  };
  const counting: CellReader["counting"] = (row, column) => {
    const value = number(row, column, "refused");
    if (value === null || (Number.isInteger(value) && value >= 1)) return value;
    complain(row(column), `${column} is ${value}.`, "It counts from 1 in whole numbers.");
    return null;
  };
  return { number, counting };
};
