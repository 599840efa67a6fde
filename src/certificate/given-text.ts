import { roundToPlace } from "../uncertainty/rounding.ts";
import type { Print } from "./sections/section-context.ts";

/** Digits that a value may have before it is called an outcome of a calculation rather than something written down. */
const MOST_DIGITS = 4;
const KEPT = 3;

const significant = (plain: string): number => plain.replace(/^0*\.?0*/, "").replace(".", "").length;

/**
 * What a contribution was given as, for print: figures that were calculated are rounded to three digits, figures that
 * somebody wrote keep theirs, and all take the decimal mark of the language.
 */
export const givenText = (given: string, print: Print): string =>
  given.replaceAll(/(?<![\w.-])\d+(?:\.\d+)?(?:e[+-]?\d+)?(?![\w.]*\d)/gi, (written) => {
    const value = Number(written);
    const exponent = /e/i.test(written);
    if (value === 0 || (!exponent && !written.includes("."))) return written;
    if (!exponent && significant(written) <= MOST_DIGITS) return print.number(written);
    return print.number(roundToPlace(value, Math.floor(Math.log10(Math.abs(value))) - KEPT + 1));
  });
