import { parseQuantityOf } from "../../vocabulary/quantity-text.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import type { Action, Characteristic } from "../../vocabulary/signal-range.ts";
import { type Row, row } from "./row.ts";
import { type ScalingLaw, type ScalingTerm, scaled } from "./scaling.ts";
import { inUnit, type Written, type WrittenRange, writtenNumber, writtenRange } from "./written.ts";

/** How a quantity is brought through two ranges, as a person says it. */
export interface RangesChoice {
  readonly input: string;
  readonly output: string;
  readonly action: Action;
  readonly characteristic: Characteristic;
  /** Which of the two a number belongs to that fits both; the input when left out. */
  readonly given?: "input" | "output";
  /** Greatest error of the output, such as `0.5 %span`. */
  readonly tolerance?: string;
  /** Unit of the output in the answer. */
  readonly to?: string;
  /** Whole counts of the output. */
  readonly round?: "down" | "nearest";
}

interface Ranges {
  readonly input: WrittenRange;
  readonly output: WrittenRange;
  readonly law: ScalingLaw;
}

const rangesOf = (choice: RangesChoice): Result<Ranges, string> => {
  const input = writtenRange(choice.input);
  if (!input.ok) return input;
  const output = writtenRange(choice.output);
  if (!output.ok) return output;
  const { action, characteristic } = choice;
  return ok({
    input: input.value,
    output: output.value,
    law: { input: input.value, output: output.value, action, characteristic },
  });
};

interface Given {
  readonly term: ScalingTerm;
  readonly value: number;
}

const PERCENTS: Readonly<Record<string, ScalingTerm>> = {
  "%": "output_percent",
  "%span": "output_percent",
  "% span": "output_percent",
  "% of span": "output_percent",
  "%output": "output_percent",
  "% of output": "output_percent",
  "%input": "input_percent",
  "% of input": "input_percent",
};

/** Which of the terms a person has given: by its unit, and by word where the unit fits both. */
const givenOf = (written: Written, { input, output }: Ranges, side: RangesChoice["given"]): Result<Given, string> => {
  const share = PERCENTS[written.unit];
  if (share !== undefined) return ok({ term: share, value: written.value });
  const asInput = inUnit(written, input.unit);
  const asOutput = inUnit(written, output.unit);
  if (asInput !== null && (side !== "output" || asOutput === null)) return ok({ term: "input", value: asInput });
  if (asOutput !== null) return ok({ term: "output", value: asOutput });
  const known = [input.unit, output.unit].map((u) => (u === "" ? "no unit" : u)).join(" or ");
  return err(
    `"${written.text}" is neither in ${known} nor a percentage of span; write it in one of these, or as 50 %span.`,
  );
};

const isCounts = (value: number): boolean => Number.isSafeInteger(value) && value >= 0;

const roundedRows = (output: number, unit: string, round: RangesChoice["round"]): readonly Row[] => {
  if (round === undefined) return [];
  // What binary fractions leave behind a whole number does not cost a count.
  const exact = Number(output.toPrecision(13));
  const counts = round === "down" ? Math.floor(exact) : Math.round(exact);
  return [
    row(`output, rounded ${round === "down" ? "down" : "to the nearest"}`, counts, unit),
    ...(isCounts(counts) ? [row("the same, hexadecimal", counts.toString(16).toUpperCase())] : []),
  ];
};

const toleranceRows = (
  text: string | undefined,
  { input, output }: Ranges,
  at: Readonly<Record<ScalingTerm, number>>,
): Result<readonly Row[], string> => {
  if (text === undefined) return ok([]);
  const written = writtenNumber(text);
  if (!written.ok) return written;
  const share = parseQuantityOf(["percent-of-span", "percent-of-reading"], text);
  const ofSpan = share.ok && share.value.kind === "percent-of-span" ? share.value.percent / 100 : null;
  const limit =
    ofSpan !== null
      ? ofSpan * (output.upper - output.lower)
      : share.ok
        ? (Math.abs(at.output) * share.value.percent) / 100
        : inUnit(written.value, output.unit);
  if (limit === null || !(limit > 0)) {
    return err(`"${text}" is no tolerance of this output; write it like 0.5 %span, or above 0 in ${output.unit}.`);
  }
  const wide = ofSpan === null ? null : ofSpan * (input.upper - input.lower);
  return ok([
    row("output from", at.output - limit, output.unit),
    row("output up to", at.output + limit, output.unit),
    ...(wide === null
      ? []
      : [
          row("input from, same share of its span", at.input - wide, input.unit),
          row("input up to, same share of its span", at.input + wide, input.unit),
        ]),
  ]);
};

/** The ideal law in numbers: output = intercept + slope x input; none for a square root. */
export const lawRows = (choice: RangesChoice): Result<readonly Row[], string> => {
  const ranges = rangesOf(choice);
  if (!ranges.ok) return ranges;
  if (choice.characteristic !== "linear") return ok([]);
  const { input, output, law } = ranges.value;
  const slope = ((output.upper - output.lower) / (input.upper - input.lower)) * (law.action === "direct" ? 1 : -1);
  const start = law.action === "direct" ? output.lower : output.upper;
  const unit = [output.unit, input.unit].map((u) => (u === "" ? "1" : u)).join(" per ");
  return ok([row("slope", slope, unit), row("output at input 0", start - slope * input.lower, output.unit)]);
};

/** A quantity through the ranges: input, output, both shares, and what was asked for besides. */
export const throughRanges = (text: string, choice: RangesChoice): Result<readonly Row[], string> => {
  const ranges = rangesOf(choice);
  if (!ranges.ok) return ranges;
  const written = writtenNumber(text);
  if (!written.ok) return written;
  const given = givenOf(written.value, ranges.value, choice.given);
  if (!given.ok) return given;
  const { input, output, law } = ranges.value;
  const at = scaled(law, given.value.term, given.value.value);
  const unit = choice.to ?? output.unit;
  const shown = inUnit({ value: at.output, unit: output.unit, text }, unit);
  if (shown === null)
    return err(`An output in ${output.unit === "" ? "no unit" : output.unit} is not to be had in ${unit}.`);
  const tolerance = toleranceRows(choice.tolerance, ranges.value, at);
  if (!tolerance.ok) return tolerance;
  return ok([
    row("input", at.input, input.unit),
    row("output", shown, unit),
    row("share of output", at.output_percent, "% of span"),
    ...(choice.characteristic === "linear" && law.action === "direct"
      ? []
      : [row("share of input", at.input_percent, "% of input span")]),
    ...roundedRows(shown, unit, choice.round),
    ...tolerance.value,
  ]);
};
