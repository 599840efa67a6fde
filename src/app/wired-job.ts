import { performance } from "node:perf_hooks";
import { asyncScheduler, defer, from, ReplaySubject } from "rxjs";
import { makeLinkTo } from "../../drivers/links/make-link-to.ts";
import { createServiceAssistant } from "../../drivers/simulated/simulated-assistant.ts";
import { createServiceHand } from "../../drivers/simulated/simulated-hand.ts";
import type { Assistant } from "../ports/assistant.ts";
import type { Hand } from "../ports/bench.ts";
import type { Prompter } from "../ports/prompter.ts";
import { type Fault, fault, faultText } from "../vocabulary/fault.ts";
import { type Second, seconds } from "../vocabulary/quantities.ts";
import type { Screw } from "../vocabulary/reading.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { spanOf } from "../vocabulary/signal-range.ts";
import { benchStreams, DEFAULT_PERIODS } from "./bench-streams.ts";
import { clockSteps } from "./clock-steps.ts";
import type { Endpoints } from "./endpoints.ts";
import { fallbackAfter, keepSourceAwake, openStation } from "./open-station.ts";
import type { Job } from "./prepare-job.ts";
import { type JobOutcome, type JobWorld, runJob } from "./run-job.ts";
import { scaledScheduler } from "./scaled-scheduler.ts";
import { SERVICE_UNIT } from "./serve-bench.ts";

export interface WiredWorld extends Pick<JobWorld, "run_id" | "keep" | "watch" | "resume" | "ledger"> {
  /** Where the simulated bench is served; null for a real bench. */
  readonly endpoints: Endpoints | null;
  /** Whoever turns the screws on a real bench. */
  readonly hand: Hand | null;
  /** Whoever sets regulators and closes valves there. */
  readonly assistant?: Assistant | null;
  readonly prompter?: Prompter | undefined;
  readonly say: (line: string) => void;
}

export interface WiredJob {
  /** Resolves when the source has been left and everything is closed. */
  readonly outcome: Promise<Result<JobOutcome, Fault>>;
  /** The person stops the run; the source is made safe first. */
  stop(): void;
  /** Drives the source to its safe value at once, whatever the run is doing; tells how it was left. For a program that breaks. */
  emergency(): Promise<string>;
}

/** Zero and span screws of the simulated bench, as service registers. */
const TURN_REGISTER: Readonly<Record<Screw, number>> = { zero: 64, span: 66 };

/** Supply setting, and the valve between unit and gauge. */
const SUPPLY_REGISTER = 68;
const VALVE_COIL = 6;

const floatRegisters = (value: number): readonly number[] => {
  const bytes = new DataView(new ArrayBuffer(4));
  bytes.setFloat32(0, value);
  return [bytes.getUint16(0), bytes.getUint16(2)];
};

const SERVICE_TIMING = { answer_deadline_s: 2, quiet_after_trouble_s: 0.2 };

/** The clock of a run that goes on: it went on as well, so that no two events of one record share an instant. */
const clockZero = (
  resume: WiredWorld["resume"],
  now_ms: number,
): { readonly begun_s: number; readonly utc_zero_ms: number } => {
  const last = resume?.events.at(-1);
  if (resume === undefined || last === undefined) return { begun_s: 0, utc_zero_ms: now_ms };
  const begun_s = last.at_s + resume.resumed.gap_s;
  return { begun_s, utc_zero_ms: Date.parse(last.utc) - last.at_s * 1000 };
};

/** Runs a prepared job over real lines. Nothing is opened before the call. */
export const startWiredJob = (job: Job, world: WiredWorld): WiredJob => {
  const factor = world.endpoints?.factor ?? 1;
  const scheduler = scaledScheduler(factor);
  const { begun_s, utc_zero_ms } = clockZero(world.resume, Date.now());
  const zero_ms = scheduler.now() - begun_s * 1000;
  const stamp = (): Second => seconds((scheduler.now() - zero_ms) / 1000);
  // Kept for the run that has not begun yet: a stop while the lines are being opened must not be lost.
  const stop$ = new ReplaySubject<void>(1);
  /** The lines stay open until an emergency has had its answer. */
  let lastWord: Promise<unknown> = Promise.resolve();
  let makeSafe: () => Promise<string> = () => Promise.resolve("No output had been driven.");

  const simulatedHand = (
    place: Endpoints["service"],
  ): { hand: Hand; assistant: Assistant; close: () => Promise<void> } => {
    if (place.kind !== "tcp") throw new Error("the service registers are served over TCP");
    const link = makeLinkTo("service", place, SERVICE_TIMING, { stamp });
    const registers = link.registers({ instrument: "service registers", unit: SERVICE_UNIT });
    const turn = (screw: Screw, turns: number) =>
      defer(() => from(registers.writeRegisters(TURN_REGISTER[screw], floatRegisters(turns))));
    const options = { seed: job.bench.simulation?.seed ?? 1, span_kPa: spanOf(job.transfer.output) };
    const assistant = createServiceAssistant(
      {
        setSupply: (supply_kPa) => registers.writeRegisters(SUPPLY_REGISTER, floatRegisters(supply_kPa)),
        isolate: (closed) => registers.writeCoil(VALVE_COIL, closed),
      },
      scheduler,
    );
    return { hand: createServiceHand(turn, scheduler, options), assistant, close: () => link.close() };
  };

  const run = async (): Promise<Result<JobOutcome, Fault>> => {
    const station = await openStation(job.bench, job.station, {
      stamp,
      endpoints: world.endpoints,
      prompter: world.prompter,
    });
    if (!station.ok) return station;
    const { source } = station.value.instruments;
    const bench = benchStreams(
      station.value.instruments,
      job.safe_mA,
      scheduler,
      zero_ms,
      job.bench.simulation !== undefined,
      // Polling keeps its pace on the clock of the bench, but never faster than a serial line can answer.
      { ...DEFAULT_PERIODS, gauge_ms: Math.max(DEFAULT_PERIODS.gauge_ms, 2 * factor) },
    );
    makeSafe = async () => {
      const outcome = await new Promise<string>((resolve) => {
        bench
          .makeSafe()
          .subscribe((left) =>
            resolve(
              left.kind === "safe"
                ? `The source was left at its safe value, ${left.current_mA.toFixed(3)} mA.`
                : `The source could not be made safe: ${left.reason}`,
            ),
          );
      });
      return outcome;
    };
    const service = world.endpoints === null ? null : simulatedHand(world.endpoints.service);
    const hand = service?.hand ?? world.hand;
    const assistant = service?.assistant ?? world.assistant ?? null;
    if (hand === null) {
      await station.value.close();
      return err(
        fault("refused", "bad-option", "Nobody is there to turn the screws.", { remedy: "Run it at a terminal." }),
      );
    }
    let restAwake = (): void => {};
    const after = fallbackAfter(factor);
    const armed = await source.armFallback(after, job.safe_mA);
    if (armed.ok && armed.value.kind === "armed") {
      restAwake = keepSourceAwake(source, (after / factor / 4) * 1000);
    } else {
      world.say(
        armed.ok
          ? `${source.name} cannot fall back by itself: if this computer dies, the last current stays on.`
          : `${source.name} did not arm its fallback: ${faultText(armed.fault)}`,
      );
    }
    try {
      const outcome = await runJob(job, {
        run_id: world.run_id,
        keep: world.keep,
        ...(world.watch === undefined ? {} : { watch: world.watch }),
        bench,
        hand,
        ...(assistant === null ? {} : { assistant }),
        clock: { kind: factor === 1 ? "wall" : "accelerated", factor, scheduler, zero_ms },
        utc_zero_ms,
        ...(world.resume === undefined ? {} : { resume: world.resume }),
        ...(world.ledger === undefined ? {} : { ledger: world.ledger }),
        clockStep$: clockSteps({ wall_ms: () => Date.now(), steady_ms: () => performance.now() }, asyncScheduler),
        stop$,
      });
      return ok(outcome);
    } finally {
      restAwake();
      await lastWord;
      await service?.close();
      await station.value.close();
    }
  };

  const emergency = (): Promise<string> => {
    // The run first: a set point that it sends between our last word to the source and the end of the program would stay.
    stop$.next();
    const left = makeSafe();
    lastWord = left;
    return left;
  };

  return { outcome: run(), stop: () => stop$.next(), emergency };
};
