import { err, ok, type Result } from "./result.ts";

/** Why a number or quantity as written cannot be taken: what is wrong, and what to write instead. */
export interface TextFault {
  readonly message: string;
  readonly remedy: string;
}

export const textFaultLine = (fault: TextFault): string => `${fault.message} ${fault.remedy}`;

/** Everything at the start that looks like a number, with grouping marks, so that they can be refused by name. */
const NUMBER_LIKE = /^[+\-\u2212]?\s*(?:[\d.,'\u2019_]|\s(?=[\d.,]))*[\d.,](?:[eE][+\-\u2212]?\d+)?/u;

/** Splits `3,5 psi` into its number and whatever follows; null when it does not begin with a number. */
export const splitNumber = (text: string): { readonly number: string; readonly rest: string } | null => {
  const number = NUMBER_LIKE.exec(text)?.[0];
  return number === undefined || !/\d/u.test(number) ? null : { number, rest: text.slice(number.length).trim() };
};

/**
 * Reads a number with a point or one comma as decimal mark, and a hyphen or a true minus sign. Grouping, both marks
 * together and a comma that could be either (`1,000`) are refused: a pressure read a thousand times too small or too
 * large is worse than a question.
 */
export const parseNumber = (written: string): Result<number, TextFault> => {
  const text = written.trim().replaceAll("\u2212", "-");
  const refuse = (message: string, remedy: string) => err({ message, remedy });
  const [mantissa = ""] = text.replace(/^[+-]\s*/u, "").split(/[eE]/u);
  if (/[\s'\u2019_]/u.test(mantissa))
    return refuse(
      `"${written}" groups its digits.`,
      "Write the digits together, with one decimal mark, such as 1013.25.",
    );
  const marks = mantissa.replace(/[^.,]/gu, "");
  if (marks.length > 1) {
    return refuse(
      `"${written}" has more than one decimal or grouping mark.`,
      "Write one decimal mark and no grouping, such as 1013.25.",
    );
  }
  const [whole = "", decimals = ""] = mantissa.split(",");
  if (marks === "," && /^[1-9]\d{0,2}$/u.test(whole) && decimals.length === 3) {
    return refuse(
      `"${written}" may mean ${whole}.${decimals} or ${whole}${decimals}.`,
      `Write ${whole}.${decimals} for a decimal number, or ${whole}${decimals} without the comma.`,
    );
  }
  const value = /\d/u.test(mantissa) ? Number(text.replace(/^([+-])\s+/u, "$1").replace(",", ".")) : Number.NaN;
  return Number.isFinite(value)
    ? ok(value)
    : refuse(`"${written}" is not a number.`, "Write it in digits, with one decimal mark, such as 1013.25.");
};
