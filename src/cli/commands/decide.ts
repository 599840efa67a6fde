import { InvalidArgumentError } from "commander";
import { coverageOf } from "../../app/budget-report.ts";
import { valuesOfFile } from "../../app/decide-file.ts";
import { writtenValue } from "../../app/decide-input.ts";
import { decisionsJson, decisionsText } from "../../app/decide-text.ts";
import { type Besides, type Decisions, decideValues } from "../../app/decide-values.ts";
import { readText } from "../../app/job-files.ts";
import { jsonText } from "../../app/text-table.ts";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, type Result } from "../../vocabulary/result.ts";
import { EXIT } from "../exit-codes.ts";
import { positive } from "../option-values.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly error?: string;
  readonly limit?: string;
  readonly lower?: string;
  readonly upper?: string;
  readonly U?: string;
  readonly u?: string;
  readonly k?: number;
  readonly dof?: number;
  readonly rule: string;
  readonly priorSd?: string;
  readonly priorMean?: string;
  readonly standardLimit?: string;
  readonly certainty?: number;
  readonly observedReliability?: number;
  readonly json?: boolean;
}

const HELP = `
Examples:
  stillpoint decide --error "0.04 psi" --limit "0.06 psi" --U "0.01 psi" --rule guarded
  stillpoint decide --error 24.2 --upper 25 --u 0.3 --rule "target-risk 2 %"
  stillpoint decide --error 0.4 --limit 1 --U 0.25 --rule simple --prior-sd 0.5
  stillpoint decide --error 105 --upper 100 --u "2 %value" --rule simple --certainty "99.9 %"
  stillpoint decide points.csv --rule four-words

A file has one row a value, all in one unit; k is 2 and degrees of freedom are infinite where they are left out:
  name,error,limit,U,k
  point 1,0.04,0.06,0.01,2
Instead of limit it may have lower, upper or both, instead of U the standard uncertainty u. Separators and decimal marks are those of readings files.

A value exactly on a limit, or exactly on the end of the zone of acceptance, is inside it. With U above half the
tolerance there is no zone of acceptance and so no statement. Exit code 3: not every value passes.
`;

const certainty = (text: string): number => {
  const value = coverageOf(text);
  if (value.ok && value.value > 0.5) return value.value;
  throw new InvalidArgumentError("It is a probability above 50 %, such as 99 %.");
};

const besidesOf = (options: Options, prior: Besides["prior"], standard_limit?: number): Besides => ({
  prior,
  ...(standard_limit === undefined ? {} : { standard_limit }),
  ...(options.certainty === undefined ? {} : { certainty: options.certainty }),
  ...(options.observedReliability === undefined ? {} : { reliability: options.observedReliability }),
});

const oneValue = (options: Options): Result<Decisions, Fault> => {
  const { dof, ...texts } = options;
  const value = writtenValue({ ...texts, ...(dof === undefined ? {} : { degrees_of_freedom: dof }) });
  if (!value.ok) return value;
  const { prior, standard_limit, unit } = value.value;
  return decideValues([value.value.value], options.rule, besidesOf(options, prior, standard_limit), unit);
};

const fromFile = (path: string, options: Options): Result<Decisions, Fault> => {
  const given = (["error", "limit", "lower", "upper", "U", "u", "k", "dof", "standardLimit"] as const).find(
    (key) => options[key] !== undefined,
  );
  if (given !== undefined) {
    return err(
      fault(
        "refused",
        "bad-option",
        `--${given === "standardLimit" ? "standard-limit" : given} does not go with a file, which has its own.`,
        {
          remedy: "Give either the file or the numbers.",
        },
      ),
    );
  }
  const text = readText(path);
  if (!text.ok) return text;
  const values = valuesOfFile({ name: path, text: text.value });
  if (!values.ok) return values;
  const [sd, mean] = [options.priorSd, options.priorMean].map((t) => (t === undefined ? undefined : Number(t)));
  if ((sd !== undefined && !(sd > 0)) || (mean !== undefined && !Number.isFinite(mean))) {
    return err(
      fault("refused", "bad-option", "The spread of the items is a number above 0, its middle a number.", {
        remedy: "With a file, write --prior-sd and --prior-mean without a unit.",
      }),
    );
  }
  const prior = sd === undefined ? null : { sd, ...(mean === undefined ? {} : { mean }) };
  return decideValues(values.value, options.rule, besidesOf(options, prior), "");
};

/** A verdict about values: words, acceptance limits, specific and global risk. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  command
    .argument("[points]", "file of values (CSV), instead of the numbers below")
    .option("--error <number>", "the error or value, such as `0.04 psi`; any unit, or none")
    .option("--limit <number>", "greatest error allowed, both ways")
    .option("--lower <number>", "lower limit, instead of --limit")
    .option("--upper <number>", "upper limit, instead of --limit; one of the two may be left out")
    .option("--U <number>", "expanded uncertainty of the error; `2 %value` is a share of the value")
    .option("--u <number>", "standard uncertainty, instead of --U")
    .option("--k <n>", "coverage factor of U; 2 when left out", positive)
    .option("--dof <n>", "degrees of freedom; infinite when left out", positive)
    .requiredOption("--rule <text>", 'simple, guarded, "guarded 0.83", four-words, "target-risk 2 %"')
    .option("--prior-sd <number>", "spread (standard deviation) of the items before measurement, for global risk")
    .option("--prior-mean <number>", "their mean; the middle of the limits when left out")
    .option("--standard-limit <number>", "tolerance of the standard, for the accuracy ratio")
    .option(
      "--certainty <probability>",
      "from which values on it is inside, or outside, with this probability",
      certainty,
    )
    .option(
      "--observed-reliability <share>",
      "share of items found in tolerance, such as `89 %`: the global risk it leaves at most",
      certainty,
    )
    .option("--json", "print everything unrounded as one JSON document")
    .addHelpText("after", HELP)
    .action((path: string | undefined, options: Options) => {
      const decisions = path === undefined ? oneValue(options) : fromFile(path, options);
      if (!decisions.ok) return finish(sayFault(streams, decisions.fault));
      say(streams.out, options.json ? jsonText(decisionsJson(decisions.value)) : decisionsText(decisions.value));
      const good = decisions.value.items.every(({ decided }) => /^(?:conditional-)?pass$/u.test(decided.word));
      finish(good ? EXIT.success : EXIT.outOfTolerance);
    });
};
