import { type LiftOffSeen, nextLiftOff, quietFloor, USUAL_LIFT_OFF } from "../adjust/lift-off.ts";
import { type ExamineStep, examinationOf } from "../plan/examination.ts";
import { EXAMINATIONS, examinationNames } from "../plan/examinations/index.ts";
import type { RunEventOf } from "../readings/run-event.ts";
import type { ExaminationRequest } from "../run/run-request.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { kPa, percentOfSpan } from "../vocabulary/quantities.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { inputFor, percentOf } from "../vocabulary/signal-range.ts";
import type { Job } from "./prepare-job.ts";

type TraceEvent = RunEventOf<"trace-taken">;

export const LIFT_OFF = "lift-off";

/** Names and summaries of all tests. */
export const examinationList = (): readonly { readonly name: string; readonly summary: string }[] => [
  ...EXAMINATIONS.map(({ name, summary }) => ({ name, summary })),
  {
    name: LIFT_OFF,
    summary: "of a range that begins at zero pressure: the current at which the output begins to rise",
  },
];

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

const RISE = /^rise at ([\d.]+) % a second$/u;

/** What the traces of a search tell, in the order they were taken; a stretch without a quiet start counts as it is. */
export const liftOffSeen = (job: Job, traces: readonly TraceEvent[]): readonly LiftOffSeen[] =>
  traces.flatMap((trace, i): LiftOffSeen[] => {
    const before = traces[i - 1];
    if (trace.name === "below" || before === undefined) return [];
    const quiet = quietFloor(samplesOf(job, before)) ?? { floor_percent: 0, noise_percent: 0.01 };
    const samples = samplesOf(job, trace).filter((s) => s.at_s > 0);
    const rate = Number(RISE.exec(trace.name)?.[1]);
    return Number.isFinite(rate)
      ? [{ kind: "rise", from_percent: trace.from_percent, rate_percent_per_s: rate, samples, ...quiet }]
      : [{ kind: "trial", at_percent: trace.to_percent, samples, ...quiet }];
  });

export const liftOffSettings = (job: Job) => ({ ...USUAL_LIFT_OFF, lowest_percent: lowestOf(job) });

const liftOffSteps = (job: Job, traces: readonly TraceEvent[]): readonly ExamineStep[] => {
  const move = nextLiftOff(liftOffSettings(job), liftOffSeen(job, traces));
  if (move.kind === "found" || move.kind === "not-found") return [];
  const below: readonly ExamineStep[] = [
    { kind: "rest", at_percent: move.back_to_percent, for_s: 0.5 },
    // Long enough for the air of a slow unit to run out.
    { kind: "watch", name: "below", for_s: Math.max(traces.length === 0 ? 15 : 5, move.rest_s + 2) },
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

/** The request for a named test of a prepared job. */
export const examinationFor = (job: Job, name: string): Result<ExaminationRequest, Fault> => {
  if (name === LIFT_OFF) {
    const { output } = job.transfer;
    if (output.mode !== "gauge" || Math.abs(output.lower_kPa) > 0.02 * (output.upper_kPa - output.lower_kPa)) {
      return err(
        fault("refused", "bad-option", "Lift-off is for units whose range begins at zero gauge pressure.", {
          remedy: "The zero error of this unit shows in its readings; calibrate it as it is.",
        }),
      );
    }
    return ok({
      examination: { test: LIFT_OFF, title: "Lift-off from zero pressure", steps: liftOffSteps(job, []), about_s: 90 },
      more: (traces) => liftOffSteps(job, traces),
    });
  }
  const draft = EXAMINATIONS.find((e) => e.name === name);
  if (draft === undefined) {
    return err(
      fault("refused", "bad-option", `There is no test "${name}".`, {
        remedy: `Choose one of ${[...examinationNames(), LIFT_OFF].join(", ")}.`,
      }),
    );
  }
  const { supply, settling_limit } = job.unit;
  return ok({
    examination: examinationOf(draft, {
      supply_kPa: { lower: supply.lower.kPa, nominal: supply.nominal.kPa, upper: supply.upper.kPa },
      settling_limit_s: settling_limit?.s ?? null,
    }),
  });
};
