import type { Figure } from "../analysis/analysis.ts";
import type { Ends } from "../analysis/plain-static.ts";
import type { RepeatabilityMethod } from "../analysis/repeatability.ts";
import type { SteadyRatioWeights } from "../analysis/steady-ratio.ts";
import type { LineInUse } from "../uncertainty/check-standard.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { parseNumber } from "../vocabulary/number-text.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";

/** Options of `analyse`, as a person writes them. */

const refused = (message: string, remedy: string): Result<never, Fault> =>
  err(fault("refused", "bad-option", message, { remedy }));

/** `range`, `from-first-run`, `standard-deviation 3`, `zero-corrected`. */
export const repeatabilityMethod = (text: string): Result<RepeatabilityMethod, Fault> => {
  const [word = "", number, more] = text.trim().split(/\s+/u);
  if (more === undefined) {
    if (number === undefined && (word === "range" || word === "from-first-run" || word === "zero-corrected")) {
      return ok({ method: word });
    }
    const k = Number(number ?? 2);
    if (word === "standard-deviation" && k > 0 && Number.isFinite(k)) return ok({ method: word, k });
  }
  return refused(
    `"${text}" is not one of the meanings of repeatability.`,
    "Write range, from-first-run, zero-corrected, or standard-deviation with its multiple, such as standard-deviation 2.",
  );
};

/** A dead band that was found by its own test, percent of the input span. */
export const givenDeadBand = (percent: number): Figure => ({
  id: "dead-band",
  name: "Dead band",
  value: percent,
  unit: "%input-span",
  definition: "as given, from its own test, percent of the nominal input span",
  source: "given with the readings",
});

/** `0 to 10`; `10 to 0` for a y that falls. Units are left to the columns. */
export const endsOf = (text: string, option: string): Result<Ends, Fault> => {
  const [first, second, more] = text.split(/\s+to\s+/u);
  const [a, b] = [first, second].map((part) => (part === undefined ? null : parseNumber(part)));
  if (more === undefined && a?.ok === true && b?.ok === true && a.value !== b.value) return ok([a.value, b.value]);
  return refused(`"${text}" is not a range.`, `Write two numbers, such as --${option} "0 to 10".`);
};

/** `30`, `30; 40`, `10 20 30`. */
export const numbersOf = (text: string, option: string): Result<readonly number[], Fault> => {
  const parts = text.split(/[;\s]+/u).filter((part) => part !== "");
  const numbers = parts.flatMap((part) => {
    const number = parseNumber(part);
    return number.ok ? [number.value] : [];
  });
  return numbers.length === parts.length && parts.length > 0
    ? ok(numbers)
    : refused(
        `--${option}: "${text}" is not a list of numbers.`,
        `Write them with spaces between, such as --${option} "10 20".`,
      );
};

/** `41 to 60`: first and last row, counted from 1. */
export const rowsOf = (text: string): Result<readonly [number, number], Fault> => {
  const ends = endsOf(text, "rows");
  if (!ends.ok) return ends;
  const [first, last] = ends.value;
  return Number.isInteger(first) && Number.isInteger(last) && first >= 1 && last > first
    ? ok([first, last])
    : refused(`"${text}" are no rows.`, 'Write the first and the last, counted from 1, such as --rows "41 to 60".');
};

/** `0.2 0.1 0.1`: weights of level, spread and steps. */
export const steadyWeights = (text: string): Result<SteadyRatioWeights, Fault> => {
  const numbers = numbersOf(text, "steady-ratio");
  if (!numbers.ok) return numbers;
  const [level, spread, steps, more] = numbers.value;
  const weights = [level, spread, steps].every((w) => w !== undefined && w > 0 && w <= 1);
  return weights && level !== undefined && spread !== undefined && steps !== undefined && more === undefined
    ? ok([level, spread, steps])
    : refused(`"${text}" are not three weights.`, 'Write three numbers above 0, at most 1, such as "0.2 0.1 0.1".');
};

/** `intercept 0.28, slope 0.98, sd 0.068, dof 38`. */
export const lineInUse = (text: string): Result<LineInUse, Fault> => {
  const figures = new Map<string, number>();
  for (const part of text.split(/[;,]\s+|[;,]$|;/u)) {
    const [, name = "", number = ""] = /^\s*([a-z]+)\s+(\S+)\s*$/u.exec(part) ?? [];
    const value = parseNumber(number);
    if (value.ok) figures.set(name, value.value);
  }
  const [intercept, slope, sd, dof] = ["intercept", "slope", "sd", "dof"].map((name) => figures.get(name));
  if (intercept === undefined || slope === undefined || sd === undefined || dof === undefined || figures.size !== 4) {
    return refused(
      `"${text}" does not say all of the line.`,
      'Write it as --line "intercept 0.28, slope 0.98, sd 0.068, dof 38".',
    );
  }
  return slope !== 0 && sd > 0 && dof > 0
    ? ok({ intercept, slope, sd, degrees_of_freedom: dof })
    : refused("The slope of a line in use is not 0, its sd and dof are above 0.", "Correct --line.");
};
