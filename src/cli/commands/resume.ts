import { readEndpoints } from "../../app/endpoints.ts";
import { knownParts } from "../../app/known-parts.ts";
import { driveSafe } from "../../app/make-bench-safe.ts";
import type { Job } from "../../app/prepare-job.ts";
import { readBrokenRun } from "../../app/records/broken-runs.ts";
import { type BrokenRun, resumeOf, standingText, type Touched, utcZeroOf } from "../../app/records/resume-run.ts";
import type { JobOutcome, Resume } from "../../app/run-job.ts";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { askKey } from "../ask-key.ts";
import { EXIT } from "../exit-codes.ts";
import { jobTitle } from "../job-options.ts";
import { addStoreOptions, recordsIn } from "../records-options.ts";
import { type CalibrateArguments, runCalibration } from "../run-calibration.ts";
import { sayFault } from "../say-fault.ts";
import { type Streams, say } from "../streams.ts";
import { addPaperOptions, cautionsAccepted, operatorOf } from "./calibrate.ts";
import type { CommandModule } from "./index.ts";

type Arguments = Omit<CalibrateArguments, "bench" | "unit" | "clock" | "factor"> & {
  readonly operator?: string;
  readonly touched?: string;
  readonly note?: string;
  readonly yes?: boolean;
  readonly input: boolean;
};

const TOUCHED: Readonly<Record<string, Touched>> = { n: "nothing", c: "connections", s: "screws" };

const isTouched = (text: string): text is Touched => Object.values<string>(TOUCHED).includes(text);

/** What has been done to the unit and its lines since the run broke off; null when nobody says. */
const askTouched = async (streams: Streams, args: Arguments, virtual: boolean): Promise<Touched | null> => {
  if (virtual) return "nothing";
  if (args.touched !== undefined) return isTouched(args.touched) ? args.touched : null;
  if (!streams.canAsk || !args.input) {
    say(streams.talk, "stillpoint: has anything been touched since? Say it with --touched nothing|connections|screws.");
    return null;
  }
  say(streams.talk, "Has anything been touched since the run broke off?");
  const keys = "n = nothing; c = a line, the supply or the position; s = a screw";
  const key = await askKey(streams, `${keys}: `, Object.keys(TOUCHED));
  return key === null ? null : (TOUCHED[key] ?? null);
};

/** Before anything is asked the source is brought to its safe value: whoever answers may stand at the unit. */
const makeSafeFirst = async (streams: Streams, run: BrokenRun, args: Arguments): Promise<Result<void, Fault>> => {
  const { job, record } = run;
  if (record.header.clock === "virtual") return ok(undefined);
  if (job.bench.simulation !== undefined && args.simulator === undefined) {
    return err(
      fault("refused", "bad-option", "The simulated bench of this run went with the program that had started it.", {
        means: "Nothing was opened. What was recorded stays as it is.",
        remedy: "Name a simulated bench that still runs with --simulator, or begin a new run.",
      }),
    );
  }
  const endpoints = args.simulator === undefined ? ok(null) : readEndpoints(args.simulator);
  if (!endpoints.ok) return endpoints;
  const safe = await driveSafe(job.bench, job.station, job.safe_mA, endpoints.value);
  if (!safe.ok) return safe;
  say(streams.talk, `The source stands at its safe value, ${safe.value.toFixed(3)} mA, as it says itself.`);
  return ok(undefined);
};

export const define: CommandModule["define"] = (command, streams, finish) => {
  addPaperOptions(addStoreOptions(command))
    .argument("[run]", "the run to go on with; the only open one when there is one")
    .option("--operator <name>", "who is measuring now; whoever began when left out")
    .option("--touched <what>", "since it broke off: nothing, connections or screws")
    .option("--note <text>", "why it broke off, for the record")
    .option("--yes", "the cautions are accepted; needed where nobody can be asked")
    .option("--no-input", "never ask; fail and name the missing option instead")
    .option("--simulator <file>", "use the simulated bench that wrote this endpoints file")
    .addHelpText(
      "after",
      `
The source is made safe first. With nothing touched the points that were read stand, and the run goes on at the next
one after a new exercise; after connections were touched the stage is read anew; after a screw was, nothing more is
added to what was found.
`,
    )
    .action(async (run_id: string | undefined, args: Arguments) => {
      if (args.touched !== undefined && !isTouched(args.touched)) {
        say(streams.talk, "stillpoint: --touched is nothing, connections or screws.");
        return finish(EXIT.wrongUse);
      }
      const records = args.records ?? recordsIn(args.output);
      const today = new Date().toISOString().slice(0, 10);
      const found = await readBrokenRun({ records, run_id, operator: args.operator, today }, knownParts());
      if (!found.ok) return finish(sayFault(streams, found.fault));
      const { header, simulated, last } = found.value.record;
      say(streams.talk, `${simulated ? "SIMULATED. " : ""}${jobTitle(found.value.job)}`);
      say(streams.talk, `Run ${found.value.run_id} broke off at ${last.utc}: ${standingText(found.value)}.`);
      const clock = header.clock === "virtual" ? "virtual" : "real";
      if (clock === "virtual" && args.touched !== undefined && args.touched !== "nothing") {
        say(
          streams.talk,
          "stillpoint: nobody can have touched a bench on the virtual clock; it is led back to where it stood.",
        );
        return finish(EXIT.wrongUse);
      }
      const go = (job: Job, resume: Resume, ended: JobOutcome["record"] | null): Promise<number> => {
        const broken = { run_id: found.value.run_id, resume, utc_zero_ms: utcZeroOf(found.value.events), ended };
        return runCalibration(streams, job, { ...args, clock, factor: 1, bench: "", unit: "" }, broken);
      };
      if (found.value.standing.kind === "ended") {
        const nothing = resumeOf(found.value, { by: header.operator, touched: "nothing" }, Date.now());
        return finish(await go(found.value.job, nothing, found.value.record));
      }
      const safe = await makeSafeFirst(streams, found.value, args);
      if (!safe.ok) return finish(sayFault(streams, safe.fault));
      const operator = await operatorOf(streams, { input: args.input, operator: args.operator ?? header.operator });
      const touched = await askTouched(streams, args, clock === "virtual");
      if (operator === null || touched === null || !(await cautionsAccepted(streams, args)))
        return finish(EXIT.wrongUse);
      const resume = resumeOf(found.value, { by: operator, touched, note: args.note }, Date.now());
      finish(await go({ ...found.value.job, operator }, resume, null));
    });
};
