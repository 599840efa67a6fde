import {
  type CalibrationResult,
  calibrate,
  finalVerdict,
  type Keeping,
  newRunId,
  stageSentence,
  verdictOf,
} from "../app/calibrate.ts";
import { type Endpoints, readEndpoints } from "../app/endpoints.ts";
import { examinationReport } from "../app/examination-report.ts";
import { guardRun } from "../app/guard-run.ts";
import { liftOffSentences, liftOffsOf } from "../app/lift-off-text.ts";
import { withMachineFacts } from "../app/machine-facts.ts";
import { personAssistant } from "../app/person-assistant.ts";
import { personHand } from "../app/person-hand.ts";
import type { Job } from "../app/prepare-job.ts";
import { parsePostgresAddress } from "../app/records/postgres-address.ts";
import { type BackgroundShipping, shipInBackground } from "../app/records/ship-in-background.ts";
import { evaluateRecord, type JobOutcome, type Resume } from "../app/run-job.ts";
import { watchRun } from "../app/run-watch.ts";
import { readSigningKey, type SigningKey } from "../app/sign-certificate.ts";
import { type SimulatorProcess, startSimulator } from "../app/simulator-process.ts";
import { runVirtualJob } from "../app/virtual-job.ts";
import { startWiredJob } from "../app/wired-job.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { percentOfSpan } from "../vocabulary/quantities.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import { pressureAt } from "../vocabulary/signal-range.ts";
import { ask } from "./ask.ts";
import { askKey } from "./ask-key.ts";
import { askTurn } from "./ask-turn.ts";
import { EXIT, EXIT_CODE_OF } from "./exit-codes.ts";
import { jobTitle } from "./job-options.ts";
import { recordsIn } from "./records-options.ts";
import { createRunPrinter } from "./run-printer.ts";
import { sayFault } from "./say-fault.ts";
import { showExaminations } from "./show-examination.ts";
import { type Streams, say } from "./streams.ts";

export interface CalibrateArguments {
  readonly output: string;
  readonly records?: string;
  readonly database?: string;
  readonly key?: string;
  readonly language: "en" | "de";
  readonly paper: "A4" | "Letter";
  readonly json?: boolean;
  readonly factor: number;
  readonly simulator?: string;
  readonly clock: "real" | "virtual";
  readonly bench: string;
  readonly unit: string;
}

interface Simulator {
  readonly endpoints: Endpoints | null;
  close(): Promise<void>;
}

const NO_SIMULATOR: Simulator = { endpoints: null, close: () => Promise.resolve() };

const simulatorFor = async (
  streams: Streams,
  job: Job,
  args: CalibrateArguments,
): Promise<Result<Simulator, Fault>> => {
  if (job.bench.simulation === undefined) return ok(NO_SIMULATOR);
  if (args.simulator !== undefined) {
    const read = readEndpoints(args.simulator);
    return read.ok ? ok({ ...NO_SIMULATOR, endpoints: read.value }) : read;
  }
  const program = process.argv[1] ?? "";
  const started: Result<SimulatorProcess, Fault> = await startSimulator([
    program,
    "simulate",
    "--bench",
    args.bench,
    "--unit",
    args.unit,
    "--station",
    job.station,
    "--factor",
    String(args.factor),
    "--json",
    "--attached",
  ]);
  if (!started.ok) return started;
  for (const [name, place] of Object.entries(started.value.endpoints.links)) {
    const where = place.kind === "serial" ? place.path : `${place.host}:${place.port}`;
    say(streams.talk, `SIMULATED bench started, ${args.factor} times as fast as the clock; ${name} is ${where}`);
  }
  return started;
};

const jsonOf = (job: Job, result: CalibrationResult): unknown => ({
  format: "stillpoint-result 1",
  simulated: result.outcome.record.simulated,
  run_id: result.outcome.record.header.run_id,
  unit: job.unit.identity,
  ending: result.outcome.record.ending?.ending ?? null,
  as_found: verdictOf(result.outcome.asFound),
  as_left: verdictOf(result.outcome.asLeft),
  verdict: finalVerdict(result.outcome),
  record: result.record,
  certificate: result.certificate,
  data: result.data,
  ...liftOffsOf(result.outcome.record),
  ...(job.examine === undefined
    ? {}
    : { examinations: result.outcome.record.examinations.map((e) => examinationReport(job, e)) }),
});

const exitOf = (outcome: JobOutcome, stoppedBy: NodeJS.Signals | null, examined: boolean): number => {
  if (stoppedBy !== null) return stoppedBy === "SIGINT" ? EXIT.interrupted : EXIT.stopped;
  const ending = outcome.record.ending;
  const fault = ending?.fault;
  if (ending?.ending === "fault") return fault === undefined ? EXIT.failed : EXIT_CODE_OF[fault.kind as Fault["kind"]];
  if (ending?.ending === "stopped") return EXIT.stopped;
  // A test explains; it gives no verdict.
  if (examined) return EXIT.success;
  return finalVerdict(outcome) === "pass" ? EXIT.success : EXIT.outOfTolerance;
};

/** A run that broke off and goes on. */
export interface GoOn {
  readonly run_id: string;
  readonly resume: Resume;
  /** UTC instant at the zero of its clock. */
  readonly utc_zero_ms: number;
  /** Its record when it had ended already: it is closed and its papers are made, and nothing is opened. */
  readonly ended: JobOutcome["record"] | null;
}

/** Runs a checked job whose cautions are accepted, with its view, record and certificate; gives the exit code. */
export const runCalibration = async (
  streams: Streams,
  prepared: Job,
  args: CalibrateArguments,
  goOn?: GoOn,
): Promise<number> => {
  const records = args.records ?? recordsIn(args.output);
  const job = withMachineFacts(prepared, args.output, Date.now(), records);
  if (args.clock === "virtual" && job.bench.simulation === undefined) {
    return sayFault(
      streams,
      fault("refused", "bad-option", "A real bench has no virtual clock.", { remedy: "Leave --clock out." }),
    );
  }
  const key: Result<SigningKey | undefined, Fault> =
    args.key === undefined ? ok(undefined) : readSigningKey(args.key, process.env["STILLPOINT_KEY_PASSWORD"]);
  if (!key.ok) return sayFault(streams, key.fault);
  const shared = args.database ?? job.bench.database;
  const address = shared === undefined ? null : parsePostgresAddress(shared);
  if (address !== null && !address.ok) return sayFault(streams, address.fault);
  const shipping: { going?: BackgroundShipping } = {};
  const run_id = goOn?.run_id ?? newRunId(Date.now(), job.unit.identity.serial_number);
  const resume = goOn === undefined ? {} : { resume: goOn.resume };
  const printer = createRunPrinter(streams, {
    unit: job.transfer.output.unit,
    title: jobTitle(job),
    toPressure: (percent) => pressureAt(job.transfer.output, percentOfSpan(percent)),
  });
  const watch = watchRun(job.plan, printer.see);
  let stoppedBy: NodeJS.Signals | null = null;

  const askDone = async (words: string, signal: AbortSignal): Promise<boolean> => {
    printer.rest();
    const keys = "space or Enter = done; g = leave it";
    say(streams.talk, `${words}.${streams.live ? `   ${keys}` : ""}`);
    const key = await askKey(streams, streams.live ? null : `${keys}: `, ["space", "return", "g"], signal);
    return key === "space" || key === "return";
  };

  const overWires = async (keeping: Keeping): Promise<Result<JobOutcome, Fault>> => {
    const simulator = await simulatorFor(streams, job, args);
    if (!simulator.ok) return simulator;
    const running = startWiredJob(job, {
      run_id,
      ...keeping,
      ...resume,
      watch,
      endpoints: simulator.value.endpoints,
      hand: streams.canAsk ? personHand(askTurn(streams, printer, job.transfer.output.unit)) : null,
      assistant: streams.canAsk ? personAssistant(askDone) : null,
      prompter: {
        ask: ({ instrument, text, example }, signal) => {
          printer.rest();
          return ask(streams, `${instrument}: ${text} (such as ${example}): `, signal);
        },
      },
      say: (line) => say(streams.talk, line),
    });
    const guard = guardRun(running, {
      say: (line) => {
        printer.rest();
        say(streams.talk, line);
      },
      exit: process.exit,
      codes: EXIT,
    });
    try {
      return await running.outcome;
    } finally {
      stoppedBy = guard.stoppedBy;
      guard.release();
      await simulator.value.close();
    }
  };

  const result = await calibrate(
    run_id,
    {
      folder: args.output,
      records,
      bench: job.bench.name,
      station: job.station,
      key: key.value,
      resume: goOn !== undefined,
      language: args.language,
      paper: args.paper,
      onTrouble: (f) => sayFault(streams, f),
      onClosed: () => {
        if (address !== null) shipping.going = shipInBackground(process.argv[1] ?? "", records, address.value.url);
      },
    },
    (keeping) =>
      goOn !== undefined && goOn.ended !== null
        ? Promise.resolve(ok(evaluateRecord(goOn.ended, job)))
        : args.clock === "virtual"
          ? runVirtualJob(job, { run_id, utc_zero_ms: goOn?.utc_zero_ms ?? Date.now(), ...keeping, ...resume, watch })
          : overWires(keeping),
  );
  printer.rest();
  const sent = shipping.going?.leave();
  if (!result.ok) return sayFault(streams, result.fault);
  const { outcome, record, certificate } = result.value;
  for (const line of [stageSentence("As found", outcome.asFound), stageSentence("As left", outcome.asLeft)]) {
    if (line !== null) say(streams.talk, line);
  }
  if (args.json) say(streams.out, JSON.stringify(jsonOf(job, result.value)));
  else {
    const mark = outcome.record.simulated ? "SIMULATED, a specimen only: " : "";
    for (const sentence of liftOffSentences(outcome.record)) say(streams.out, sentence);
    // The searches of a calibration stand behind what it found; a test of its own is shown whole.
    if (job.examine !== undefined) await showExaminations(streams, job, outcome, record);
    say(streams.out, `Record: ${record}`);
    if (job.examine === undefined) {
      say(
        streams.out,
        certificate === null ? "No certificate: no stage gave a reading." : `Certificate: ${mark}${certificate}`,
      );
    }
  }
  if (sent !== undefined) say(streams.talk, sent);
  return exitOf(outcome, stoppedBy, job.examine !== undefined);
};
