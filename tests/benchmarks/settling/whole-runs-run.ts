import { VirtualTimeScheduler } from "rxjs";
import { trueHysteresis } from "../../../drivers/simulated/physics/true-errors.ts";
import { createVirtualBench } from "../../../drivers/simulated/virtual-bench.ts";
import { analyseStage } from "../../../src/analysis/analyse-stage.ts";
import { figure } from "../../../src/analysis/analysis.ts";
import { makePlan } from "../../../src/plan/make-plan.ts";
import type { SettlingChoice } from "../../../src/plan/test-plan.ts";
import type { RunEventOf } from "../../../src/readings/run-event.ts";
import type { StagePoint } from "../../../src/readings/stage-point.ts";
import type { RunOutput } from "../../../src/run/run-output.ts";
import { runPlan } from "../../../src/run/run-plan.ts";
import type { RunRequest } from "../../../src/run/run-request.ts";
import { kPa, mA } from "../../../src/vocabulary/quantities.ts";
import type { WholeRunUnit } from "./whole-runs-unit.ts";

/** One run, up and down, judged against the unit's own loop. Percent of span, seconds. */
export interface WholeRun {
  /** Figure less truth; null when a point was not read and the figure would not be the one asked for. */
  readonly error: number | null;
  readonly truth: number;
  /** From the start of the exercise to the start of the points, and from there to the last point. */
  readonly exercise_s: number;
  readonly points_s: number;
  readonly unread: number;
}

/** A rule and the name it has in the table; without a rule the plan chooses, as it does where hysteresis is judged. */
export interface Waiting {
  readonly name: string;
  readonly settling?: SettlingChoice;
}

/** The reading is the mean of the last 5 s of the wait, so that the wait is as long as its name says. */
export const fixedWaiting = (wait_s: number): Waiting => ({
  name: `fixed ${wait_s} s`,
  settling: { rule: "fixed-dwell", dwell_s: wait_s - 5, average_s: 5 },
});

export const WAITINGS: readonly Waiting[] = [
  { name: "detector" },
  fixedWaiting(30),
  fixedWaiting(60),
  fixedWaiting(180),
];

const stagePoint = (event: RunEventOf<"point-captured">): StagePoint => ({
  ...event.point,
  applied_mA: event.commanded_mA,
  applied_from: "commanded",
  output_kPa: event.output_kPa,
  supply_kPa: event.supply_kPa,
});

/** Runs the plan on the unit's bench on the virtual clock: preflight, exercise, points up and down; nothing is adjusted. */
export const runWhole = ({ settings }: WholeRunUnit, waiting: Waiting): WholeRun => {
  const { transfer } = settings;
  const plan = makePlan(
    transfer,
    { current: { lower_mA: mA(0), upper_mA: mA(22) }, bench_kPa: kPa(200), unit_kPa: kPa(150) },
    waiting.settling === undefined ? {} : { settling: waiting.settling },
  );
  if (!plan.ok) throw new Error(plan.fault.message);
  const scheduler = new VirtualTimeScheduler();
  const bench = createVirtualBench(settings, scheduler, { without: ["current-meter", "supply-gauge", "ambient"] });
  const request: RunRequest = {
    header: {
      run_id: "whole-run",
      software_version: "0",
      operator: "benchmark",
      files: [],
      station: "only",
      decision_rule: "simple",
      clock: "virtual",
      clock_factor: 0,
    },
    plan: plan.value,
    transfer,
    bench,
    hand: {
      turn: () => {
        throw new Error("nothing is adjusted");
      },
    },
    scheduler,
    clock_zero_ms: 0,
    preflight: {
      instruments: [],
      references: [],
      today: "2026-11-25",
      gauge: {
        range: null,
        mode: transfer.output.mode,
        U_kPa: kPa(0.02),
        resolution_kPa: kPa(settings.gauge.resolution ?? 0),
      },
      supply: null,
      vent_mA: null,
      vent_tolerance_kPa: kPa(3),
      loop_tolerance_mA: mA(0.05),
    },
    cautions_accepted_by: "benchmark",
    adjust: "never",
    judge: () => ({ withinTolerance: true, withinAim: true, why: "not judged" }),
    nextAdjustment: () => {
      throw new Error("nothing is adjusted");
    },
  };
  const outputs: Extract<RunOutput, { type: "record" }>[] = [];
  runPlan(request).subscribe((output) => {
    if (output.type === "record") outputs.push(output);
  });
  scheduler.flush();
  const events = outputs.map((o) => o.event);
  const at = (found: (event: (typeof events)[number]) => boolean): number =>
    outputs.find((o) => found(o.event))?.at_s ?? Number.NaN;
  const exercise = at((e) => e.kind === "stage-started" && e.stage === "exercise");
  const points = at((e) => e.kind === "stage-started" && e.stage === "as-found");
  const end = at((e) => e.kind === "stage-completed");
  const ended = events.find((e) => e.kind === "run-ended");
  if (ended?.ending !== "finished") throw new Error(`the run did not finish: ${ended?.fault?.message}`);

  const captured = events.flatMap((e) => (e.kind === "point-captured" ? [stagePoint(e)] : []));
  const unread = events.filter((e) => e.kind === "point-not-settled").length;
  const truth = trueHysteresis(bench.model.plantSettings);
  const analysed = captured.length === 0 ? null : analyseStage(captured, transfer, { stage: "as-found" });
  if (analysed !== null && !analysed.ok) throw new Error(analysed.fault.message);
  const found = analysed === null ? undefined : figure(analysed.value, "hysteresis-plus-dead-band");
  return {
    error: unread > 0 || found === undefined ? null : found.value - truth,
    truth,
    exercise_s: points - exercise,
    points_s: end - points,
    unread,
  };
};
