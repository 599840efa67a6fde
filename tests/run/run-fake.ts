import { type Observable, type Subscription, VirtualTimeScheduler } from "rxjs";
import { createAdjuster } from "../../src/adjust/create-adjuster.ts";
import { makePlan, type PlanOptions } from "../../src/plan/make-plan.ts";
import type { RunEvent, RunEventOf } from "../../src/readings/run-event.ts";
import type { RunOutput } from "../../src/run/run-output.ts";
import { runPlan } from "../../src/run/run-plan.ts";
import type { RunRequest } from "../../src/run/run-request.ts";
import { kPa, mA } from "../../src/vocabulary/quantities.ts";
import { kegLimits, kegLine } from "../plan/units.ts";
import { type FakeBench, type FakeSettings, fakeBench } from "./fake-bench.ts";

/** Three points up and down with a quick rule: short enough to read its record by eye. */
export const QUICK: PlanOptions = {
  points: 3,
  hold_s: 5,
  settling: { rule: "band", band_percent: 0.05, window_s: 3, timeout_s: 60 },
};

const TOLERANCE_KPA = 0.4;

/** Largest error of the captured points, kPa; the fake unit's ideal is the keg line's. */
const worst = (events: readonly RunEvent[]): number =>
  Math.max(
    ...events.flatMap((e) =>
      e.kind === "point-captured" ? [Math.abs(e.output_kPa - (20 + 0.8 * e.point.nominal_percent))] : [],
    ),
  );

export const requestFor = (
  scheduler: VirtualTimeScheduler,
  bench: FakeBench,
  sequence: PlanOptions,
  more: Partial<RunRequest>,
): RunRequest => {
  const plan = makePlan(kegLine, kegLimits, sequence);
  if (!plan.ok) throw new Error(plan.fault.message);
  return {
    header: {
      run_id: "keg-0001",
      software_version: "0.1.0",
      operator: "R. Brandt",
      files: [],
      station: "left",
      decision_rule: "simple",
      clock: "virtual",
      clock_factor: 1,
    },
    plan: plan.value,
    transfer: kegLine,
    bench,
    hand: bench.hand,
    scheduler,
    clock_zero_ms: 0,
    preflight: {
      instruments: [
        { name: "source-1", serial_number: "S-100" },
        { name: "gauge-1", serial_number: "G-200" },
      ],
      references: [{ name: "gauge-1", certificate: "K-77", due: "2027-01-31" }],
      today: "2026-03-01",
      gauge: { range: { lower_kPa: kPa(0), upper_kPa: kPa(200) }, mode: "gauge", U_kPa: kPa(0.02) },
      supply: { lower_kPa: kPa(130), upper_kPa: kPa(150) },
      vent_mA: mA(0),
      vent_tolerance_kPa: kPa(0.5),
      loop_tolerance_mA: mA(0.05),
    },
    cautions_accepted_by: "R. Brandt",
    adjust: "when-needed",
    judge: (events) => ({
      withinTolerance: worst(events) <= TOLERANCE_KPA,
      withinAim: worst(events) <= TOLERANCE_KPA / 4,
      why: `largest error ${worst(events).toFixed(3)} kPa`,
    }),
    nextAdjustment: createAdjuster({
      wanted_kPa: { lower: kPa(20), upper: kPa(100) },
      tolerance_kPa: kPa(TOLERANCE_KPA),
    }),
    ...more,
  };
};

export interface FakeRun {
  readonly scheduler: VirtualTimeScheduler;
  readonly bench: FakeBench;
  readonly outputs: readonly RunOutput[];
  readonly events: readonly RunEvent[];
  readonly completed: boolean;
  /** Runs virtual time to its end, or up to `until_s`. */
  flush(until_s?: number): FakeRun;
  of<K extends RunEvent["kind"]>(kind: K): readonly RunEventOf<K>[];
  readonly subscription: Subscription;
}

export interface FakeRunOptions {
  readonly fake?: FakeSettings;
  readonly sequence?: PlanOptions;
  readonly request?: Partial<RunRequest>;
  readonly stop?: (scheduler: VirtualTimeScheduler) => Observable<unknown>;
}

/** A run on the fake bench in virtual time; nothing has happened until `flush`. */
export const runFake = ({ fake, sequence, request, stop }: FakeRunOptions = {}): FakeRun => {
  const scheduler = new VirtualTimeScheduler();
  const bench = fakeBench(scheduler, fake);
  const outputs: RunOutput[] = [];
  const state = { completed: false };
  const asked = requestFor(scheduler, bench, sequence ?? QUICK, {
    ...request,
    ...(stop === undefined ? {} : { stop$: stop(scheduler) }),
  });
  const subscription = runPlan(asked).subscribe({
    next: (output) => outputs.push(output),
    complete: () => {
      state.completed = true;
    },
  });
  const run: FakeRun = {
    scheduler,
    bench,
    outputs,
    subscription,
    get events() {
      return outputs.flatMap((o) => (o.type === "record" ? [o.event] : []));
    },
    get completed() {
      return state.completed;
    },
    flush: (until_s) => {
      scheduler.maxFrames = until_s === undefined ? 4 * 3600 * 1000 : until_s * 1000;
      scheduler.flush();
      return run;
    },
    of: (kind) => run.events.filter((e): e is RunEventOf<typeof kind> => e.kind === kind),
  };
  return run;
};
