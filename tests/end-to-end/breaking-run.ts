import { readEndpoints } from "../../src/app/endpoints.ts";
import { guardRun } from "../../src/app/guard-run.ts";
import { readJobFiles } from "../../src/app/job-files.ts";
import { knownParts } from "../../src/app/known-parts.ts";
import { shipped } from "../../src/app/package-root.ts";
import { prepareJob } from "../../src/app/prepare-job.ts";
import { startWiredJob } from "../../src/app/wired-job.ts";
import { EXIT } from "../../src/cli/exit-codes.ts";
import { faultText } from "../../src/vocabulary/fault.ts";
import type { Result } from "../../src/vocabulary/result.ts";

/**
 * A program with a bug: it runs a job like the command line program, under the same guard, and breaks the moment the
 * output is driven. Arguments: endpoints file, and how it breaks: "view" throws where the run tells what happens,
 * "promise" leaves a rejection to nobody.
 */
const [, , endpointsFile = "", how = ""] = process.argv;

const must = <T>(result: Result<T, Parameters<typeof faultText>[0]>): T => {
  if (!result.ok) throw new Error(faultText(result.fault));
  return result.value;
};

const files = must(
  readJobFiles(
    {
      bench: shipped("bench-configs", "simulated-tcp.yaml"),
      unit: shipped("bench-configs", "ip-3-15-psi.yaml"),
      laboratory: shipped("bench-configs", "laboratory.yaml"),
    },
    knownParts(),
  ),
);
const job = must(prepareJob(files, { operator: "A. Programmer" }, new Date().toISOString().slice(0, 10)));
let isBroken = false;
const say = (line: string): void => void process.stderr.write(`${line}\n`);

const running = startWiredJob(job, {
  run_id: "breaking-run",
  keep: () => null,
  watch: (output) => {
    if (isBroken || output.type === "live" || output.event.kind !== "commanded" || output.event.current_mA < 8) return;
    isBroken = true;
    // Some time later, so that the source stands well above its safe value.
    setTimeout(() => {
      say("Breaking now.");
      if (how === "promise") void Promise.reject(new Error("an error that nobody foresaw"));
      else throw new Error("an error that nobody foresaw");
    }, 300);
  },
  endpoints: must(readEndpoints(endpointsFile)),
  hand: null,
  say,
});
guardRun(running, { say, exit: process.exit, codes: EXIT });
await running.outcome;
say("The run ended as if nothing had happened.");
