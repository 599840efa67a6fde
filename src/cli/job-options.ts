import { basename } from "node:path";
import { type Command, InvalidArgumentError, Option } from "commander";
import { type JobFiles, readJobFiles } from "../app/job-files.ts";
import { knownParts } from "../app/known-parts.ts";
import { shipped } from "../app/package-root.ts";
import type { SettlingChoice } from "../app/prepare-job.ts";
import { type Job, type JobOptions, prepareJob } from "../app/prepare-job.ts";
import type { Fault } from "../vocabulary/fault.ts";
import type { Result } from "../vocabulary/result.ts";
import { neededOption } from "./needed-option.ts";
import { positive, wholeNumber } from "./option-values.ts";

/** Options that the plan and the run share, so that what `plan` prints is what `calibrate` does. */

export interface JobArguments {
  readonly bench: string;
  readonly unit: string;
  readonly laboratory: string;
  readonly station?: string;
  readonly sequence: string;
  readonly points?: number | readonly number[];
  readonly cycles?: number;
  readonly insideEnds?: number;
  readonly exercise?: number;
  readonly rule?: string;
  readonly settling: "detector" | "fixed-dwell" | "band" | "slope";
  readonly dwell?: number;
  readonly adjust: "never" | "when-needed" | "always";
}

const points = (text: string): number | readonly number[] => {
  if (/^\d+$/.test(text.trim())) return wholeNumber(text);
  const values = text.split(",").map((part) => Number(part));
  if (values.some((value) => !Number.isFinite(value))) {
    throw new InvalidArgumentError("Give a number of points, or percentages such as 0,25,50,75,100.");
  }
  return values;
};

export const addJobOptions = (command: Command): Command => {
  neededOption(command, "--bench <file>", "bench file");
  neededOption(command, "--unit <file>", "unit file of the converter under test");
  return command
    .option("--laboratory <file>", "laboratory file", shipped("bench-configs", "laboratory.yaml"))
    .option("--station <name>", "station of the bench; the only one when there is one")
    .option("--sequence <name>", "test sequence; `stillpoint plan --sequences` lists them", "up-down")
    .option("--points <n|list>", "number of points, or percentages of span such as 0,25,50,75,100", points)
    .option("--cycles <n>", "cycles up and down", wholeNumber)
    .option("--inside-ends <percent>", "keep the outermost points this far inside the ends, % of span", positive)
    .option("--exercise <n>", "strokes before the first point", wholeNumber)
    .option("--rule <text>", 'decision rule: simple, guarded, "guarded 0.83", four-words, "target-risk 2 %"')
    .addOption(
      new Option("--settling <rule>", "when a reading may be taken")
        .choices(["detector", "fixed-dwell", "band", "slope"])
        .default("detector"),
    )
    .option("--dwell <s>", "least wait at a point, or the wait of fixed-dwell", positive)
    .addOption(
      new Option("--adjust <when>", "whether the screws may be turned")
        .choices(["never", "when-needed", "always"])
        .default("when-needed"),
    );
};

/** undefined: the plan's own choice. */
const settlingOf = ({ settling, dwell }: JobArguments): SettlingChoice | undefined => {
  switch (settling) {
    case "detector":
      return undefined;
    case "fixed-dwell":
      return { rule: "fixed-dwell", dwell_s: dwell ?? 30, average_s: 3 };
    case "band":
      return { rule: "band", band_percent: 0.05, window_s: 10, timeout_s: 180 };
    case "slope":
      return { rule: "slope", slope_percent_per_min: 0.05, window_s: 20, timeout_s: 180 };
  }
};

export const readJob = (
  args: JobArguments,
  operator: string,
  overrides?: JobOptions["overrides"],
): Result<Job, Fault> => {
  const files: Result<JobFiles, Fault> = readJobFiles(args, knownParts());
  if (!files.ok) return files;
  const settling = settlingOf(args);
  const today = new Date().toISOString().slice(0, 10);
  return prepareJob(
    files.value,
    {
      station: args.station,
      operator,
      decision_rule: args.rule,
      adjust: args.adjust,
      ...(overrides === undefined ? {} : { overrides }),
      plan: {
        sequence: args.sequence,
        ...(settling === undefined ? {} : { settling }),
        ...(args.dwell === undefined || args.settling === "fixed-dwell" ? {} : { least_dwell_s: args.dwell }),
        ...(args.points === undefined ? {} : { points: args.points }),
        ...(args.cycles === undefined ? {} : { cycles: args.cycles }),
        ...(args.insideEnds === undefined ? {} : { inside_ends_percent: args.insideEnds }),
        ...(args.exercise === undefined ? {} : { exercise_strokes: args.exercise }),
      },
    },
    today,
  );
};

/** What the job is about, in one line. */
export const jobTitle = (job: Job): string =>
  `${job.unit.identity.maker} ${job.unit.identity.model} ${job.unit.identity.serial_number} on ${basename(job.files.kept[0]?.name ?? "bench")}`;
