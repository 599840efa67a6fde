import { InvalidArgumentError } from "commander";
import { budgetAnswer, coverageOf } from "../../app/budget-report.ts";
import { readText } from "../../app/job-files.ts";
import { jsonText } from "../../app/text-table.ts";
import { faultText } from "../../vocabulary/fault.ts";
import { EXIT } from "../exit-codes.ts";
import { wholeNumber } from "../option-values.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly coverage?: number;
  readonly trials: "adaptive" | number;
  readonly seed: number;
  readonly monteCarlo: boolean;
  readonly json?: boolean;
}

const HELP = `
A budget file:
  format: stillpoint-budget 1
  title: pressure on the workshop's column
  inputs:
    rho: { distribution: rectangular, value: 998.2, half_width: 0.3, unit: kg/m3 }
    h:   { distribution: readings, readings: [1.2003, 1.2005, 1.2002, 1.2004, 1.2003], unit: m }
    g:   { distribution: normal, value: 9.8103, U: 0.0002, k: 2, unit: m/s2 }
  outputs:
    p: { model: rho * g * h, unit: Pa }

Distributions: constant, normal (u, or U with k), t, readings, rectangular, triangular, trapezoid, curved-trapezoid,
arcsine; each with value and half_width or u, and degrees_of_freedom where they are known (or doubt_of_u: 0.25, how far
u itself may be off). Optional: correlations (- { between: [a, b], r: 0.3 }, or r: readings where both were read together),
coverage: 0.95 or coverage_factor: 2, interval: shortest or symmetric, digits: 1 or 2, degrees_of_freedom: truncated.

A figure may be written as it comes about: half_width: 14e-6 * 0.93 + 2e-6. Models and figures know + - * / ^, brackets,
pi, e, sqrt, exp, log, log10, sin, cos, tan, asin, acos, atan, sinh, cosh, tanh, abs, sign, and what stands in tables:
normal_quantile(p), normal_probability(z), t_quantile(p, dof), t_probability(t, dof), chi_square_quantile(p, dof),
F_quantile(p, dof_above, dof_below), gamma(x). A formula with a comma in it is written in quotation marks.

Propagation of uncertainties is that of JCGM 100, Monte Carlo that of JCGM 101. Where the two disagree, the answer says
so and which interval to use; the exit code is 0 all the same.
`;

const trials = (text: string): "adaptive" | number => (text === "adaptive" ? text : wholeNumber(text));

const coverage = (text: string): number => {
  const value = coverageOf(text);
  if (value.ok) return value.value;
  throw new InvalidArgumentError(faultText(value.fault));
};

const seed = (text: string): number => {
  const value = Number(text);
  if (/^\d+$/u.test(text.trim()) && Number.isSafeInteger(value)) return value;
  throw new InvalidArgumentError("It has to be a whole number from 0.");
};

/** An uncertainty budget from a file: GUM and Monte Carlo side by side. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  command
    .argument("<model>", "budget file (YAML or JSON)")
    .option("--coverage <probability>", "coverage probability, such as `95 %`; goes before that of the file", coverage)
    .option(
      "--trials <adaptive|n>",
      "Monte Carlo trials: until the results stand still, or a fixed number",
      trials,
      "adaptive",
    )
    .option("--seed <n>", "seed of the random numbers; the same seed gives the same answer", seed, 1)
    .option("--no-monte-carlo", "propagation of uncertainties alone")
    .option("--json", "print everything unrounded as one JSON document")
    .addHelpText("after", HELP)
    .action((path: string, options: Options) => {
      const text = readText(path);
      if (!text.ok) return finish(sayFault(streams, text.fault));
      const answer = budgetAnswer(
        { name: path, text: text.value },
        {
          ...(options.coverage === undefined ? {} : { coverage: options.coverage }),
          trials: options.monteCarlo ? options.trials : null,
          seed: options.seed,
        },
      );
      if (!answer.ok) return finish(sayFault(streams, answer.fault));
      say(streams.out, options.json ? jsonText(answer.value.json) : answer.value.text);
      finish(EXIT.success);
    });
};
