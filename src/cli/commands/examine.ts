import { Option } from "commander";
import { examinationFor, examinationList } from "../../app/examination-job.ts";
import { EXIT } from "../exit-codes.ts";
import { addJobOptions, type JobArguments, jobTitle, readJob } from "../job-options.ts";
import { positive } from "../option-values.ts";
import { addStoreOptions } from "../records-options.ts";
import { type CalibrateArguments, runCalibration } from "../run-calibration.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import { cautionsAccepted, operatorOf } from "./calibrate.ts";
import type { CommandModule } from "./index.ts";

type Arguments = JobArguments &
  CalibrateArguments & {
    readonly test: string;
    readonly operator?: string;
    readonly yes?: boolean;
    readonly input: boolean;
  };

/** Runs one test that explains a unit, with its record; it gives figures and never a verdict. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  if (process.argv.includes("--tests")) {
    command.option("--tests", "list the tests").action(() => {
      for (const { name, summary } of examinationList()) say(streams.out, `${name.padEnd(16)} ${summary}`);
      finish(EXIT.success);
    });
    return;
  }
  addStoreOptions(addJobOptions(command))
    .requiredOption("--test <name>", "which test; `stillpoint examine --tests` lists them")
    .option("--tests", "list the tests")
    .option("--operator <name>", "who is measuring")
    .option("--yes", "the cautions are accepted; needed where nobody can be asked")
    .option("--no-input", "never ask; fail and name the missing option instead")
    .option("--output <folder>", "folder for the record", "reports")
    .option("--json", "print the result as one JSON document")
    .option("--factor <n>", "of a simulated bench: simulated seconds per second", positive, 1)
    .option("--simulator <file>", "use the simulated bench that wrote this endpoints file")
    .addOption(
      new Option("--clock <kind>", "of a simulated bench: virtual skips lines and waiting")
        .choices(["real", "virtual"])
        .default("real"),
    )
    .action(async (args: Arguments) => {
      const checked = readJob(args, args.operator ?? "not said");
      if (!checked.ok) return finish(sayFault(streams, checked.fault));
      const request = examinationFor(checked.value, args.test);
      if (!request.ok) return finish(sayFault(streams, request.fault));
      const operator = await operatorOf(streams, args);
      if (operator === null) return finish(EXIT.wrongUse);
      const job = { ...checked.value, operator, examine: request.value };
      say(streams.talk, `${job.bench.simulation === undefined ? "" : "SIMULATED. "}${jobTitle(job)}`);
      say(
        streams.talk,
        `${request.value.examination.title}; about ${Math.ceil(request.value.examination.about_s / 60)} min`,
      );
      if (!(await cautionsAccepted(streams, args))) return finish(EXIT.wrongUse);
      finish(await runCalibration(streams, job, { ...args, language: "en", paper: "A4" }));
    });
};
