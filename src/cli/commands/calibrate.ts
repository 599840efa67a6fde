import { type Command, Option } from "commander";
import { interplayFromRecords } from "../../app/interplay-from-records.ts";
import { readText } from "../../app/job-files.ts";
import { knownParts } from "../../app/known-parts.ts";
import type { Job } from "../../app/prepare-job.ts";
import { planOf } from "../../app/show-plan.ts";
import { CAUTIONS } from "../../vocabulary/cautions.ts";
import type { Fault } from "../../vocabulary/fault.ts";
import type { Result } from "../../vocabulary/result.ts";
import { ask } from "../ask.ts";
import { EXIT } from "../exit-codes.ts";
import { addJobOptions, type JobArguments, jobTitle, readJob } from "../job-options.ts";
import { positive } from "../option-values.ts";
import { addStoreOptions } from "../records-options.ts";
import { type CalibrateArguments, runCalibration } from "../run-calibration.ts";
import { sayFault } from "../say-fault.ts";
import { type Streams, say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

type Arguments = JobArguments &
  CalibrateArguments & {
    readonly operator?: string;
    readonly yes?: boolean;
    readonly input: boolean;
    readonly dryRun?: boolean;
    readonly override?: readonly string[];
    readonly like?: readonly string[];
  };

/** `check=name: reason` */
const readOverrides = (texts: readonly string[]): Record<string, { name: string; reason: string }> | string => {
  const overrides: Record<string, { name: string; reason: string }> = {};
  for (const text of texts) {
    const [, check, name, reason] = /^([a-z-]+)=([^:]+):\s*(\S.*)$/u.exec(text) ?? [];
    if (check === undefined || name === undefined || reason === undefined) return text;
    overrides[check] = { name: name.trim(), reason };
  }
  return overrides;
};

/** Where the papers of a run go and what they look like. */
export const addPaperOptions = (command: Command): Command =>
  command
    .option("--output <folder>", "folder for record and certificate", "reports")
    .addOption(new Option("--language <code>", "language of the certificate").choices(["en", "de"]).default("en"))
    .addOption(new Option("--paper <size>", "paper of the certificate").choices(["A4", "Letter"]).default("A4"))
    .option("--json", "print the result as one JSON document");

/** Shows the cautions and waits for a yes: nothing is driven before it. */
export const cautionsAccepted = async (
  streams: Streams,
  args: { readonly yes?: boolean; readonly input: boolean },
): Promise<boolean> => {
  say(streams.talk, "Before the first output:");
  for (const caution of CAUTIONS) say(streams.talk, `  - ${caution}`);
  if (args.yes) return true;
  if (!streams.canAsk || !args.input) {
    say(streams.talk, "stillpoint: nobody can be asked here; say --yes to accept the cautions beforehand.");
    return false;
  }
  const answer = await ask(streams, "Is all of this so, and may the output be driven? Type yes: ");
  return answer !== null && /^y(es)?$/iu.test(answer.trim());
};

export const operatorOf = async (
  streams: Streams,
  args: { readonly operator?: string; readonly input: boolean },
): Promise<string | null> => {
  if (args.operator !== undefined && args.operator.trim() !== "") return args.operator;
  if (!streams.canAsk || !args.input) {
    say(streams.talk, "stillpoint: who is measuring? Say it with --operator NAME.");
    return null;
  }
  const answer = await ask(streams, "Who is measuring? ");
  return answer === null || answer.trim() === "" ? null : answer.trim();
};

/** What the named records tell of the screws of the job's model. */
const readInterplay = (paths: readonly string[], job: Job): Result<NonNullable<Job["interplay"]>, Fault> => {
  const texts: string[] = [];
  for (const path of paths) {
    const text = readText(path);
    if (!text.ok) return text;
    texts.push(text.value);
  }
  return interplayFromRecords(texts, job.unit.identity, knownParts());
};

export const define: CommandModule["define"] = (command, streams, finish) => {
  addPaperOptions(addStoreOptions(addJobOptions(command)))
    .option("--operator <name>", "who is measuring")
    .option("--yes", "the cautions are accepted; needed where nobody can be asked")
    .option("--no-input", "never ask; fail and name the missing option instead")
    .option("--dry-run", "print the plan and open nothing")
    .option(
      "--override <check=name: reason>",
      "let a failed check pass, by name and with a reason (may be repeated)",
      (text, all: string[] = []) => [...all, text],
    )
    .option(
      "--like <record>",
      "earlier record of this model, from which the interplay of its screws is known (may be repeated)",
      (path, all: string[] = []) => [...all, path],
    )
    .option("--factor <n>", "of a simulated bench: simulated seconds per second", positive, 1)
    .option("--simulator <file>", "use the simulated bench that wrote this endpoints file")
    .addOption(
      new Option("--clock <kind>", "of a simulated bench: virtual skips lines and waiting")
        .choices(["real", "virtual"])
        .default("real"),
    )
    .addHelpText(
      "after",
      `
Before the first output it shows the cautions and waits for a yes. Ctrl-C makes the source safe, then ends.
`,
    )
    .action(async (args: Arguments) => {
      const overrides = readOverrides(args.override ?? []);
      if (typeof overrides === "string") {
        say(
          streams.talk,
          `stillpoint: "${overrides}" is not an override; write --override "vented-zero=A. Person: reason".`,
        );
        return finish(EXIT.wrongUse);
      }
      const checked = readJob(args, args.operator ?? "not said", overrides);
      if (!checked.ok) return finish(sayFault(streams, checked.fault));
      if (args.dryRun) {
        say(streams.out, planOf(checked.value));
        return finish(EXIT.success);
      }
      const operator = await operatorOf(streams, args);
      if (operator === null) return finish(EXIT.wrongUse);
      const interplay = readInterplay(args.like ?? [], checked.value);
      if (!interplay.ok) return finish(sayFault(streams, interplay.fault));
      const job = { ...checked.value, operator, interplay: interplay.value };
      say(streams.talk, `${job.bench.simulation === undefined ? "" : "SIMULATED. "}${jobTitle(job)}`);
      if (!(await cautionsAccepted(streams, args))) return finish(EXIT.wrongUse);
      finish(await runCalibration(streams, job, args));
    });
};
