import { planOf, sequenceList } from "../../app/show-plan.ts";
import { EXIT } from "../exit-codes.ts";
import { addJobOptions, type JobArguments, readJob } from "../job-options.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

/** Prints the steps of a run before anything is opened. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  if (process.argv.includes("--sequences")) {
    command.option("--sequences", "list the test sequences").action(() => {
      for (const { name, summary } of sequenceList()) say(streams.out, `${name.padEnd(22)} ${summary}`);
      finish(EXIT.success);
    });
    return;
  }
  addJobOptions(command)
    .option("--sequences", "list the test sequences")
    .option("--json", "print the plan as JSON")
    .action((args: JobArguments & { readonly json?: boolean }) => {
      const job = readJob(args, "plan only");
      if (!job.ok) return finish(sayFault(streams, job.fault));
      say(streams.out, args.json ? JSON.stringify(job.value.plan, null, 2) : planOf(job.value));
      finish(EXIT.success);
    });
};
