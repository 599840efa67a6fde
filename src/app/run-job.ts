import { EMPTY, type Observable, type SchedulerLike, type Subscription } from "rxjs";
import type { StageResult } from "../certificate/certificate-input.ts";
import type { Assistant } from "../ports/assistant.ts";
import type { Bench, Hand } from "../ports/bench.ts";
import type { LedgerPlace } from "../ports/record-store.ts";
import { foldRun } from "../readings/fold-run.ts";
import { gaugeZeroOf } from "../readings/gauge-zero.ts";
import { encodeEvent } from "../readings/record-codec.ts";
import type { RecordedEvent, RunEvent, RunEventOf } from "../readings/run-event.ts";
import { type RunRecord, stageOf } from "../readings/run-record.ts";
import type { RunOutput } from "../run/run-output.ts";
import { runPlan } from "../run/run-plan.ts";
import type { Judgement, RunHeader, RunRequest } from "../run/run-request.ts";
import { type Fault, fault, faultText } from "../vocabulary/fault.ts";
import type { Stage } from "../vocabulary/reading.ts";
import type { Result } from "../vocabulary/result.ts";
import { adjustmentProspect } from "./adjustment-prospect.ts";
import { canonicalJson } from "./canonical-json.ts";
import type { ClockStep } from "./clock-steps.ts";
import { evaluateStage } from "./evaluate-record.ts";
import { liftOffSearch } from "./lift-off-search.ts";
import { softwareVersion } from "./package-root.ts";
import type { Job } from "./prepare-job.ts";

export interface JobClock {
  readonly kind: "wall" | "accelerated" | "virtual";
  readonly factor: number;
  readonly scheduler: SchedulerLike;
  /** What the scheduler said when the run's clock stood at zero. */
  readonly zero_ms: number;
}

export interface JobWorld {
  readonly run_id: string;
  readonly bench: Bench;
  readonly hand: Hand;
  /** Whoever sets regulators and closes valves; without one such steps of a test are declined. */
  readonly assistant?: Assistant;
  readonly clock: JobClock;
  /** UTC instant at the zero of the run's clock, ms since the epoch. */
  readonly utc_zero_ms: number;
  readonly stop$?: Observable<unknown>;
  /**
   * Each event of the record as canonical JSON, the moment it is made; a fault when the record can no longer be kept,
   * which ends the run.
   */
  readonly keep: (line: string) => Fault | null;
  readonly watch?: (output: RunOutput) => void;
  /** Goes on with a run that broke off. */
  readonly resume?: Resume;
  /** The bench's own chain as it stood when this run was entered in it. */
  readonly ledger?: LedgerPlace;
  /** Steps of the computer's clock while the run goes on. */
  readonly clockStep$?: Observable<ClockStep>;
}

export interface Resume {
  readonly events: readonly RecordedEvent[];
  readonly resumed: Omit<RunEventOf<"run-resumed">, "kind">;
  /**
   * The simulated bench is led again through what it went through before: its events must come out as they are
   * recorded, and only what follows is kept. A bench in the world cannot be led back; there the run goes on from where
   * it stands.
   */
  readonly repeat: boolean;
}

export interface JobOutcome {
  readonly record: RunRecord;
  readonly asFound: Result<StageResult, Fault> | null;
  readonly asLeft: Result<StageResult, Fault> | null;
}

/** Longest time for the source to be made safe and to say so, s on the wall. */
const SAFE_WITHIN_WALL_s = 10;
/** A unit that passes and stays within this share of its limit is left alone; common practice, no source. */
const LEAVE_ALONE_SHARE = 0.5;

const withinAim = (result: StageResult): boolean =>
  result.verdict.points.every((p) => Math.abs(p.error_kPa) <= LEAVE_ALONE_SHARE * p.limit_kPa);

/** Works out what a record says, with the files that it carries. */
export const evaluateRecord = (record: RunRecord, job: Job): JobOutcome => {
  const evaluate = (stage: Stage) => {
    const found = stageOf(record, stage);
    return found === undefined ? null : evaluateStage(found, { ...job, ...gaugeZeroOf(record) });
  };
  return { record, asFound: evaluate("as-found"), asLeft: evaluate("as-left") };
};

/** What looks at the computer or the calendar may differ between two courses of one simulated run. */
const OF_THE_MOMENT: readonly RunEvent["kind"][] = ["run-started", "preflight-check"];

const repeats = (before: RunEvent, now: RunEvent): boolean =>
  OF_THE_MOMENT.includes(before.kind)
    ? before.kind === now.kind
    : canonicalJson(JSON.parse(JSON.stringify(before))) === canonicalJson(JSON.parse(JSON.stringify(now)));

const notRepeated = (before: RecordedEvent): Fault =>
  fault("record", "record-damaged", `The simulated bench does not repeat event ${before.seq} of the record.`, {
    means: "What would follow is not the rest of that run.",
    remedy: "Go on with the version and the files that it was begun with, or begin a new run.",
  });

/** Runs a prepared job. Resolves when the source has been left and the record is complete; a bug in the run rejects. */
export const runJob = (job: Job, world: JobWorld): Promise<JobOutcome> => {
  const { clock } = world;
  const { resume } = world;
  const events: RecordedEvent[] = resume === undefined || resume.repeat ? [] : [...resume.events];
  const folded = (): RunRecord => {
    const record = foldRun(events);
    if (!record.ok) throw new Error(faultText(record.fault));
    return record.value;
  };

  const asFound = (): StageResult | null => {
    const found = stageOf(folded(), "as-found");
    const result = found === undefined ? null : evaluateStage(found, job);
    return result?.ok ? result.value : null;
  };

  /** The stage under judgement is the last one in the record, complete but for its closing event. */
  const judge = (stage: Stage): Judgement => {
    const found = stageOf(folded(), stage);
    const result = found === undefined ? null : evaluateStage(found, job);
    if (result === null || !result.ok) {
      const why = result === null ? "no point was read" : faultText(result.fault);
      return { withinTolerance: false, withinAim: false, why };
    }
    const { verdict } = result.value;
    const passed = verdict.word === "pass";
    return {
      withinTolerance: passed,
      withinAim: passed && withinAim(result.value),
      why: passed ? "every point passes" : verdict.reasons.join("; "),
    };
  };

  const add = (at_s: number, event: RunEvent): Fault | null => {
    const utc = new Date(world.utc_zero_ms + at_s * 1000).toISOString();
    const recorded: RecordedEvent = { seq: events.length + 1, at_s, utc, event };
    const line = encodeEvent(recorded);
    if (!line.ok) return line.fault;
    events.push(recorded);
    return world.keep(canonicalJson(JSON.parse(line.value)));
  };

  const keep: RunRequest["keep"] = ({ at_s, event }) => {
    if (resume?.repeat !== true) return add(at_s, event);
    let before = resume.events[events.length];
    // Earlier breaks stand in the record and are nothing that the bench did.
    for (; before?.event.kind === "run-resumed"; before = resume.events[events.length]) events.push(before);
    if (before !== undefined) {
      if (!repeats(before.event, event)) return notRepeated(before);
      events.push(before);
      return null;
    }
    if (events.length === resume.events.length) {
      const trouble = add(resume.events.at(-1)?.at_s ?? at_s, { kind: "run-resumed", ...resume.resumed });
      if (trouble !== null) return trouble;
    }
    return add(at_s, event);
  };

  const header: RunHeader = {
    run_id: world.run_id,
    software_version: softwareVersion(),
    operator: job.operator,
    files: job.files.kept,
    station: job.station,
    decision_rule: job.rule_text,
    clock: clock.kind,
    clock_factor: clock.factor,
    adjust: job.adjust,
    ...(world.ledger === undefined ? {} : { ledger: world.ledger }),
  };

  /** What a clock does belongs between the first and the last event of the run; a fault of the record ends it at the next. */
  const watchClock = (): Subscription =>
    (world.clockStep$ ?? EMPTY).subscribe(({ by_s, shown_utc }) => {
      const open = events.length > 0 && events.at(-1)?.event.kind !== "run-ended";
      if (open)
        keep({
          type: "record",
          at_s: (clock.scheduler.now() - clock.zero_ms) / 1000,
          event: { kind: "clock-stepped", by_s, shown_utc },
        });
    });

  return new Promise((resolve, reject) => {
    const clockWatch = watchClock();
    runPlan({
      header,
      plan: job.plan,
      transfer: job.transfer,
      bench: world.bench,
      hand: world.hand,
      scheduler: clock.scheduler,
      clock_zero_ms: clock.zero_ms,
      ...(world.stop$ === undefined ? {} : { stop$: world.stop$ }),
      preflight: job.preflight,
      overrides: job.overrides,
      cautions_accepted_by: job.operator,
      adjust: job.adjust,
      judge: () => judge("as-found"),
      nextAdjustment: job.nextAdjustment,
      ...(job.plan.adjust_at.zero_by === "lift-off" ? { lift_off: liftOffSearch(job) } : {}),
      ...(job.examine === undefined ? {} : { examine: job.examine }),
      ...(world.assistant === undefined ? {} : { assistant: world.assistant }),
      prospect: () => {
        const found = asFound();
        return found === null ? null : adjustmentProspect(job, found);
      },
      // Instruments answer on the clock on the wall, however fast the bench's own clock runs.
      policy: { safe_deadline_s: SAFE_WITHIN_WALL_s * Math.max(1, clock.factor) },
      keep,
      ...(resume === undefined || resume.repeat
        ? {}
        : { resume: { events: resume.events.map(({ event }) => event), resumed: resume.resumed } }),
    }).subscribe({
      next: (output) => world.watch?.(output),
      error: (error: unknown) => {
        clockWatch.unsubscribe();
        reject(error);
      },
      complete: () => {
        clockWatch.unsubscribe();
        resolve(evaluateRecord(folded(), job));
      },
    });
  });
};
