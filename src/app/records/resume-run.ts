import type { KnownParts } from "../../config/known-drivers.ts";
import type { TestPlan } from "../../plan/test-plan.ts";
import { foldRun } from "../../readings/fold-run.ts";
import type { RecordedEvent } from "../../readings/run-event.ts";
import type { RunRecord } from "../../readings/run-record.ts";
import type { Overrides } from "../../run/run-request.ts";
import { type Standing, standingOf } from "../../run/standing.ts";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { filesOf } from "../certify.ts";
import { softwareVersion } from "../package-root.ts";
import { type Job, prepareJob } from "../prepare-job.ts";
import type { Resume } from "../run-job.ts";

export type Touched = Resume["resumed"]["touched"];

/** A run that broke off, ready to go on: with its own plan and files, whatever became of them meanwhile. */
export interface BrokenRun {
  readonly run_id: string;
  readonly record: RunRecord;
  readonly events: readonly RecordedEvent[];
  readonly standing: Standing;
  readonly job: Job;
}

const refused = (message: string, remedy: string): Result<never, Fault> =>
  err(fault("refused", "bad-option", message, { means: "Nothing was opened.", remedy }));

/** Failed checks that were gone past by name before are gone past again. */
const overridesOf = (record: RunRecord): Overrides =>
  Object.fromEntries(
    record.preflight.flatMap(({ check, overridden_by }) =>
      overridden_by === undefined ? [] : [[check, overridden_by]],
    ),
  );

const isPlan = (plan: unknown): plan is TestPlan =>
  typeof plan === "object" && plan !== null && "steps" in plan && Array.isArray(plan.steps) && "adjust_at" in plan;

/** Events of a run that broke off to the job that goes on with them. `today` is YYYY-MM-DD at the bench. */
export const brokenRun = (
  events: readonly RecordedEvent[],
  known: KnownParts,
  operator: string | undefined,
  today: string,
): Result<BrokenRun, Fault> => {
  const record = foldRun(events);
  if (!record.ok) return record;
  const { header } = record.value;
  const standing = standingOf(events.map(({ event }) => event));
  if (standing.kind === "examining") {
    return refused(`The run ${header.run_id} is a test that explains a unit.`, "Run the test anew.");
  }
  const files = filesOf(record.value, known);
  if (!files.ok) return files;
  const job = prepareJob(
    files.value,
    {
      station: header.station,
      operator: operator ?? header.operator,
      decision_rule: header.decision_rule,
      adjust: header.adjust ?? "when-needed",
      overrides: overridesOf(record.value),
    },
    today,
  );
  if (!job.ok) return job;
  if (!isPlan(header.plan)) return refused(`The run ${header.run_id} holds no plan.`, "Begin a new run.");
  return ok({
    run_id: header.run_id,
    record: record.value,
    events,
    standing,
    job: { ...job.value, plan: header.plan },
  });
};

/** What goes into the record when a run goes on. */
export const resumeOf = (
  run: BrokenRun,
  answer: { readonly by: string; readonly touched: Touched; readonly note?: string | undefined },
  now_ms: number,
): Resume => {
  const virtual = run.record.header.clock === "virtual";
  return {
    events: run.events,
    repeat: virtual,
    resumed: {
      by: answer.by,
      // An accelerated clock may run ahead of the one on the wall.
      gap_s: virtual ? 0 : Math.max(0, (now_ms - Date.parse(run.record.last.utc)) / 1000),
      touched: answer.touched,
      software_version: softwareVersion(),
      ...(answer.note === undefined ? {} : { note: answer.note }),
    },
  };
};

/** UTC instant at the zero of the run's clock, ms since the epoch, from its first event. */
export const utcZeroOf = ([first]: readonly RecordedEvent[]): number =>
  first === undefined ? 0 : Math.ceil(Date.parse(first.utc) - first.at_s * 1000 - 1e-6);

const STANDING_TEXT: { readonly [K in Standing["kind"]]: string } = {
  ended: "all is measured; the run was only not closed",
  examining: "inside a test that explains the unit",
  "before-points": "before the first point",
  measuring: "between two points",
  judging: "after as found, before the screws",
  adjusting: "while adjusting",
  "before-as-left": "after adjusting, before as left",
  finishing: "after the last point",
};

/** One sentence: where a broken run stands. */
export const standingText = ({ standing, job }: BrokenRun): string =>
  standing.kind === "measuring"
    ? `${standing.stage.replace("-", " ")}, ${standing.taken.size} of ${job.plan.steps.filter((s) => s.kind === "point").length} points taken`
    : STANDING_TEXT[standing.kind];
