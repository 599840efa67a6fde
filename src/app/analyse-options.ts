import type { Figure } from "../analysis/analysis.ts";
import type { Ends } from "../analysis/plain-static.ts";
import type { RepeatabilityMethod } from "../analysis/repeatability.ts";
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
