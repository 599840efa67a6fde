import type { FileFault } from "../config/file-fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { complaint, type Place } from "./table.ts";

export type DecimalMark = "point" | "comma";

export interface NumberField {
  readonly text: string;
  readonly place: Place;
}

const NUMBER = {
  point: /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/u,
  comma: /^[+-]?(?:\d+,?\d*|,\d+)(?:[eE][+-]?\d+)?$/u,
};
/** One mark with exactly three digits behind and one to three before: may as well be a group of thousands. */
const LIKE_A_GROUP = /^[+-]?[1-9]\d{0,2}[.,]\d{3}$/u;

/**
 * Which decimal mark the numbers of a file have, when its fields are not separated by commas. Refuses two marks in
 * one file, and numbers that can be read in two ways where nothing else in the file says which.
 */
export const decimalMark = (numbers: readonly NumberField[]): Result<DecimalMark, FileFault> => {
  const marked = numbers.filter(
    ({ text }) => /[.,]/u.test(text) && (NUMBER.point.test(text) || NUMBER.comma.test(text)),
  );
  const comma = marked.find(({ text }) => text.includes(","));
  const point = marked.find(({ text }) => text.includes("."));
  if (comma !== undefined && point !== undefined) {
    return err(
      complaint(
        comma.place,
        `"${comma.text}" has a comma, and "${point.text}" in line ${point.place.line} has a point.`,
        "Use one decimal mark in the whole file and no grouping of digits.",
      ),
    );
  }
  const [first] = marked;
  if (first !== undefined && marked.every(({ text }) => LIKE_A_GROUP.test(text))) {
    return err(
      complaint(
        first.place,
        `"${first.text}" can be read in two ways, and no other number of the file says which.`,
        "Say it in the head: # decimal: comma or # decimal: point.",
      ),
    );
  }
  return ok(comma === undefined ? "point" : "comma");
};

/** The number, or the text as it is when it is none. */
export const numberWith = (text: string, mark: DecimalMark): number | string => {
  const plain = text.replace("\u2212", "-");
  return NUMBER[mark].test(plain) ? Number(plain.replace(",", ".")) : text;
};
