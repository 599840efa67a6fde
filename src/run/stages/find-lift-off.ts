import type { RunEventOf } from "../../readings/run-event.ts";
import type { Fault } from "../../vocabulary/fault.ts";
import { zeroErrorByLiftOff } from "../../vocabulary/lift-off.ts";
import { percentOfSpan } from "../../vocabulary/quantities.ts";
import type { Stage } from "../../vocabulary/reading.ts";
import { inputFor, spanOf } from "../../vocabulary/signal-range.ts";
import type { RunContext } from "../run-context.ts";
import type { LiftOffResult, LiftOffSearch } from "../run-request.ts";
import type { Script } from "../script.ts";
import { takeStep } from "./examine.ts";

type Found = Extract<LiftOffResult, { kind: "found" }>;
export type LiftOffOutcome = LiftOffResult | { readonly kind: "ended"; readonly fault: Fault };

/** Readings of the independent meter that count as taken at the last input, s. */
const METER_S = 3;

/** What the meter read beyond what was commanded, over the last moments; null without a meter. */
const offOf = (context: RunContext): number | null => {
  const now_s = context.now_s();
  const read = context.monitor.current?.readings(now_s - METER_S, now_s) ?? [];
  const commanded = context.commanded_mA;
  return read.length === 0 || commanded === null
    ? null
    : read.reduce((sum, r) => sum + r.value.mA, 0) / read.length - commanded;
};

const recordFound = (context: RunContext, stage: RunEventOf<"lift-off-found">["stage"], found: Found): void => {
  const { transfer } = context.request;
  const commanded_mA = inputFor(transfer, percentOfSpan(found.input_percent));
  const off = offOf(context);
  const lower_mA = inputFor(transfer, percentOfSpan(0));
  // Early is high, whichever way the current goes.
  const way = Math.sign(inputFor(transfer, percentOfSpan(100)) - lower_mA);
  const applied_mA = commanded_mA + (off ?? 0);
  const span_mA = Math.abs(transfer.input.upper_mA - transfer.input.lower_mA);
  const applied_percent = found.input_percent + (100 * way * (off ?? 0)) / span_mA;
  context.record({
    kind: "lift-off-found",
    stage,
    input_percent: applied_percent,
    u_percent: found.u_percent,
    commanded_mA,
    measured_mA: off === null ? null : applied_mA,
    zero_error_mA: way * (lower_mA - applied_mA),
    zero_error_percent: (100 * zeroErrorByLiftOff(transfer, applied_percent)) / spanOf(transfer.output),
    lag_s: found.lag_s,
    floor_kPa: context.toPressure(found.floor_percent),
  });
};

/**
 * Looks for the lift-off of a range that begins at zero pressure, and records what was seen and what was found.
 * @param expected_percent where a screw was just set to; null where nothing is known
 */
export function* findLiftOff(
  context: RunContext,
  search: LiftOffSearch,
  stage: RunEventOf<"lift-off-found">["stage"],
  expected_percent: number | null,
): Script<LiftOffOutcome> {
  const test = "lift-off";
  context.record({ kind: "examination-started", test, title: "Lift-off from zero pressure" });
  const traces: RunEventOf<"trace-taken">[] = [];
  const end = (why: string | null): void =>
    context.record({
      kind: "examination-ended",
      test,
      outcome: why === null ? "complete" : "incomplete",
      ...(why === null ? {} : { why }),
    });
  for (;;) {
    const steps = search.steps(traces, expected_percent);
    if (steps.length === 0) break;
    for (const step of steps) {
      const got = yield* takeStep(context, step);
      if (!got.ok) {
        end(got.fault.message);
        return { kind: "ended", fault: got.fault };
      }
      if (got.value !== null && got.value !== "declined") traces.push(got.value);
    }
  }
  const result = search.result(traces, expected_percent);
  end(result.kind === "found" ? null : result.why);
  if (result.kind === "found") {
    context.floor_kPa = context.toPressure(result.floor_percent);
    recordFound(context, stage, result);
  }
  return result;
}

/** Of a range that begins at zero pressure: its lift-off in this stage, once, which tells what no reading can show. */
export function* liftOffOfStage(context: RunContext, stage: Stage): Script<Fault | null> {
  const search = context.request.lift_off;
  if (search === undefined || context.stageEvents(stage).some((e) => e.kind === "lift-off-found")) return null;
  const found = yield* findLiftOff(context, search, stage, null);
  return found.kind === "ended" ? found.fault : null;
}
