import type { Command } from "commander";
import { endsOf, lineInUse, numbersOf, rowsOf, steadyWeights } from "../app/analyse-options.ts";
import type { PlainChoice } from "../app/analyse-plain.ts";
import { coverageOf } from "../app/budget-report.ts";
import { leakOf, stepOf } from "../app/plain-dynamics.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { finite, positive, wholeNumber } from "./option-values.ts";

/** Options of `analyse` for plain columns of numbers. */
export interface PlainOptions {
  readonly plain?: boolean;
  readonly xRange?: string;
  readonly yRange?: string;
  readonly degree?: number;
  readonly throughZero?: boolean;
  readonly at?: string;
  readonly uY?: number;
  readonly level?: string;
  readonly line?: string;
  readonly rows?: string;
  readonly xOrigin?: number;
  readonly multiplyY?: number;
  readonly autoregression?: number;
  readonly steadyRatio?: string;
  readonly logDecrement?: boolean;
  readonly step?: string;
  readonly band: string;
  readonly leak?: string;
}

export const addPlainOptions = (command: Command): Command =>
  command
    .option("--plain", "plain columns x and y, no converter; also recognised by a column y")
    .option("--x-range <range>", "plain columns: nominal range of x, such as `0 to 10`")
    .option("--y-range <range>", "plain columns: nominal range of y; `10 to 0` when y falls")
    .option("--degree <n>", "plain columns: degree of the fit; 1 when left out", wholeNumber)
    .option("--through-zero", "plain columns: fit without a constant")
    .option("--at <x>", "plain columns: read the fit at these x, such as `30` or `10 20`")
    .option(
      "--u-y <u>",
      "plain columns: known standard uncertainty of each y, beside that from the residuals",
      positive,
    )
    .option("--level <probability>", "plain columns: probability for t, F and control limits; 95 % when left out")
    .option(
      "--line <figures>",
      'plain columns: line in use to be checked, "intercept 0.28, slope 0.98, sd 0.068, dof 38"',
    )
    .option("--rows <range>", "plain columns: these rows alone, such as `41 to 60`")
    .option("--x-origin <x>", "plain columns: count x from here", finite)
    .option("--multiply-y <factor>", "plain columns: multiply every y first, such as by the gain of a sensor", finite)
    .option("--autoregression <order>", "plain columns: the values as a series that remembers", wholeNumber)
    .option("--steady-ratio <weights>", "plain columns: ratio of variances value by value, such as `0.2 0.1 0.1`")
    .option("--log-decrement", "plain columns: y are the peaks of a ring that dies out, over time")
    .option("--step <text>", "plain columns: y over time after a step, such as `0 to 1 at 0`")
    .option("--band <share>", "plain columns: about the end of the step, as a share of it", "2 %")
    .option("--leak <text>", "plain columns: absolute Pa over s in a closed volume, such as `2 l at 20 degC`");

const PLAIN_ONLY: readonly (readonly [keyof PlainOptions, string])[] = [
  ["xRange", "--x-range"],
  ["yRange", "--y-range"],
  ["degree", "--degree"],
  ["throughZero", "--through-zero"],
  ["at", "--at"],
  ["uY", "--u-y"],
  ["level", "--level"],
  ["line", "--line"],
  ["rows", "--rows"],
  ["xOrigin", "--x-origin"],
  ["multiplyY", "--multiply-y"],
  ["autoregression", "--autoregression"],
  ["steadyRatio", "--steady-ratio"],
  ["logDecrement", "--log-decrement"],
  ["step", "--step"],
  ["leak", "--leak"],
];

/** An option for plain columns that was given with readings of a converter, where it would do nothing; null when none was. */
export const strayPlainOption = (options: PlainOptions): string | null =>
  PLAIN_ONLY.find(([key]) => options[key] !== undefined)?.[1] ?? null;

const maybe = <V>(text: string | undefined, read: (text: string) => Result<V, Fault>): Result<V | undefined, Fault> =>
  text === undefined ? ok(undefined) : read(text);

const badBand = (text: string): Result<never, Fault> =>
  err(fault("refused", "bad-option", `"${text}" is no band.`, { remedy: "Write a share of the step, such as 2 %." }));

/** Options as written to what the analysis takes. */
export const plainChoice = (options: PlainOptions): Result<PlainChoice, Fault> => {
  const x_range = maybe(options.xRange, (text) => endsOf(text, "x-range"));
  if (!x_range.ok) return x_range;
  const y_range = maybe(options.yRange, (text) => endsOf(text, "y-range"));
  if (!y_range.ok) return y_range;
  const at = maybe(options.at, (text) => numbersOf(text, "at"));
  if (!at.ok) return at;
  const probability = maybe(options.level, coverageOf);
  if (!probability.ok) return probability;
  const line = maybe(options.line, lineInUse);
  if (!line.ok) return line;
  const rows = maybe(options.rows, rowsOf);
  if (!rows.ok) return rows;
  const steady_ratio = maybe(options.steadyRatio, steadyWeights);
  if (!steady_ratio.ok) return steady_ratio;
  const band = coverageOf(options.band);
  if (!band.ok) return badBand(options.band);
  const step = maybe(options.step, (text) => stepOf(text, band.value));
  if (!step.ok) return step;
  const leak = maybe(options.leak, leakOf);
  if (!leak.ok) return leak;
  const choice = {
    step: step.value,
    leak: leak.value,
    log_decrement: options.logDecrement,
    x_range: x_range.value,
    y_range: y_range.value,
    at: at.value,
    probability: probability.value,
    line: line.value,
    rows: rows.value,
    steady_ratio: steady_ratio.value,
    degree: options.degree,
    through_zero: options.throughZero,
    u_y: options.uY,
    x_origin: options.xOrigin,
    multiply_y: options.multiplyY,
    autoregression: options.autoregression,
  };
  return ok(Object.fromEntries(Object.entries(choice).filter(([, value]) => value !== undefined)) as PlainChoice);
};
