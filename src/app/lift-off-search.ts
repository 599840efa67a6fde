import { type LiftOffSeen, nextLiftOff, quietFloor, USUAL_LIFT_OFF } from "../adjust/lift-off.ts";
import type { ExamineStep } from "../plan/examination.ts";
import type { RunEventOf } from "../readings/run-event.ts";
import type { LiftOffResult, LiftOffSearch } from "../run/run-request.ts";
import { kPa, percentOfSpan } from "../vocabulary/quantities.ts";
import { inputFor, percentOf } from "../vocabulary/signal-range.ts";
import type { Job } from "./prepare-job.ts";

type TraceEvent = RunEventOf<"trace-taken">;

/** The lowest input the search may go to: inside the limits of the bench, and not below a live loop (NAMUR NE 43). */
const LEAST_LIVE_mA = 3.6;

const lowestOf = (job: Job): number => {
  const { transfer, bench } = job;
  const least_mA = Math.max(bench.limits.current.lower.mA, transfer.input.lower_mA >= 4 ? LEAST_LIVE_mA : 0);
  for (let percent = USUAL_LIFT_OFF.lowest_percent; percent < 0; percent += 0.1) {
    const current = inputFor(transfer, percentOfSpan(percent));
    if (current >= least_mA && current <= bench.limits.current.upper.mA) return percent;
  }
  return 0;
};

const samplesOf = (job: Job, trace: TraceEvent) =>
  trace.samples.at_s.flatMap((at_s, i) => {
    const pressure = trace.samples.pressure_kPa[i];
    return pressure === null || pressure === undefined
      ? []
      : [{ at_s: at_s - trace.commanded_s, output_percent: percentOf(job.transfer.output, kPa(pressure)) }];
  });

const NOISE_UNKNOWN = { floor_percent: 0, noise_percent: 0.01 };

const RISE = /^rise at ([\d.]+) % a second$/u;

/** What the traces of a search tell, in the order they were taken; a stretch without a quiet start counts as it is. */
const liftOffSeen = (job: Job, traces: readonly TraceEvent[]): readonly LiftOffSeen[] =>
  traces.flatMap((trace, i): LiftOffSeen[] => {
    const before = traces[i - 1];
    if (trace.name === "below" || before === undefined) return [];
    const quiet = quietFloor(samplesOf(job, before)) ?? NOISE_UNKNOWN;
    const samples = samplesOf(job, trace).filter((s) => s.at_s > 0);
    const rate = Number(RISE.exec(trace.name)?.[1]);
    return Number.isFinite(rate)
      ? [{ kind: "rise", from_percent: trace.from_percent, rate_percent_per_s: rate, samples, ...quiet }]
      : [{ kind: "trial", at_percent: trace.to_percent, samples, ...quiet }];
  });

const settingsOf = (job: Job, expected_percent: number | null) => ({
  ...USUAL_LIFT_OFF,
  lowest_percent: lowestOf(job),
  ...(expected_percent === null ? {} : { expected_percent }),
});

const stepsOf = (job: Job, traces: readonly TraceEvent[], expected_percent: number | null): readonly ExamineStep[] => {
  const move = nextLiftOff(settingsOf(job, expected_percent), liftOffSeen(job, traces));
  if (move.kind === "found" || move.kind === "not-found") return [];
  // Long enough for the air of a slow unit to run out.
  const least_s = traces.length > 0 ? 5 : expected_percent === null ? 15 : 8;
  const below: readonly ExamineStep[] = [
    { kind: "rest", at_percent: move.back_to_percent, for_s: 0.5 },
    { kind: "watch", name: "below", for_s: Math.max(least_s, move.rest_s + 2) },
  ];
  return move.kind === "trial"
    ? [...below, { kind: "jump", name: "trial", to_percent: move.at_percent, watch_s: move.watch_s }]
    : [
        ...below,
        // The rise begins where it is wanted, one quick tread above the rest.
        {
          kind: "stairs",
          name: "below",
          step_percent: move.from_percent - move.back_to_percent,
          steps: 1,
          dwell_s: 2.5,
        },
        {
          kind: "sweep",
          name: `rise at ${move.rate_percent_per_s} % a second`,
          to_percent: move.to_percent,
          rate_percent_per_s: move.rate_percent_per_s,
          until_rise_percent: move.until_output_percent,
        },
      ];
};

/** What a search has found once it asks for no more steps. */
export const liftOffResult = (
  job: Job,
  traces: readonly TraceEvent[],
  expected_percent: number | null = null,
): LiftOffResult => {
  const seen = liftOffSeen(job, traces);
  const move = nextLiftOff(settingsOf(job, expected_percent), seen);
  if (move.kind === "not-found") return move;
  if (move.kind !== "found") return { kind: "not-found", why: "the search was not finished", early: false };
  const { floor_percent, noise_percent } = seen.at(-1) ?? NOISE_UNKNOWN;
  return { ...move, floor_percent, noise_percent };
};

/** The search for lift-off at the unit of a job. */
export const liftOffSearch = (job: Job): LiftOffSearch => ({
  lowest_percent: lowestOf(job),
  steps: (traces, expected_percent) => stepsOf(job, traces, expected_percent),
  result: (traces, expected_percent) => liftOffResult(job, traces, expected_percent),
});
