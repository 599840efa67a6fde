import type { PlanStep, PointStep } from "../../plan/test-plan.ts";
import type { PointRecord } from "../../readings/run-event.ts";
import type { Fault } from "../../vocabulary/fault.ts";
import { percentOfSpan, seconds } from "../../vocabulary/quantities.ts";
import type { Stage } from "../../vocabulary/reading.ts";
import { rampTo } from "../approach.ts";
import { faultRecord } from "../fault-record.ts";
import { awaitLine } from "../line-return.ts";
import { type Obtained, obtain } from "../obtain.ts";
import type { RunContext } from "../run-context.ts";
import { samplesRecord, waitRecord } from "../samples-record.ts";
import type { Script } from "../script.ts";
import { hold, isLost } from "../settle.ts";
import { meanOf } from "../settling/rules/window.ts";
import type { PointStart } from "../settling/settling-rule.ts";
import { verdictRecord } from "../verdict-fault.ts";
import { liftOffOfStage } from "./find-lift-off.ts";

/** Hold where a branch begins before a broken pass goes on, s: as long as an ordinary point may take. */
const WAY_BACK_HOLD_s = seconds(30);

type ExerciseMove = Pick<Extract<PlanStep, { kind: "exercise" }>, "to_percent" | "hold_s" | "least_hold_s">;

/** Hold at the other end before a stroke that would move nothing, s. */
const AWAY_HOLD_s = seconds(5);
const awayFrom = (percent: number) => percentOfSpan(percent > 50 ? 0 : 100);

/** Moves without reading a result. The rule watches and learns, for the unit may creep on later. */
function* exercise(context: RunContext, step: ExerciseMove): Script<Fault | null> {
  for (let lost = 0; ; lost += 1) {
    const from = context.percent ?? step.to_percent;
    const moved = yield* rampTo(context, step.to_percent);
    const start: PointStart | null =
      moved.ok && step.hold_s > 0 && from !== step.to_percent
        ? { at_s: moved.value, from, to: step.to_percent, role: "exercise" }
        : null;
    let trouble = moved.ok ? null : moved.fault;
    if (moved.ok && step.hold_s > 0) {
      const watch = start === null ? undefined : { start, least_s: step.least_hold_s };
      trouble = yield* hold(context, step.hold_s, `holding at ${step.to_percent} %`, watch);
    }
    if (trouble === null) {
      const held_s = moved.ok && step.hold_s > 0 ? context.now_s() - moved.value : 0;
      const shown =
        start === null
          ? {}
          : { wait: waitRecord(start), samples: samplesRecord(context.monitor.pressure.since(start.at_s)) };
      context.record({ kind: "exercised", to_percent: step.to_percent, held_s, ...shown });
      return null;
    }
    if (!isLost(trouble) || lost >= context.policy.line_retries) return trouble;
    const gone = yield* awaitLine(context, trouble);
    if (gone !== null) return gone;
  }
}

const meanOrNull = (values: readonly number[]): number | null => (values.length === 0 ? null : meanOf(values));

const recordRead = (context: RunContext, point: PointRecord, got: Extract<Obtained, { kind: "read" }>): void => {
  const { verdict, capture, samples } = got;
  const { monitor } = context;
  const perPercent = context.toPressure(1) - context.toPressure(0);
  const seen = samplesRecord(samples);
  const [from_s, to_s] = [verdict.from_s, verdict.to_s];
  // Slow meters may have nothing inside a short window: their last value from the approach on is taken then.
  const since = samples[0]?.at_s ?? from_s;
  const over = <R extends { readonly at_s: number }>(
    track: { readings(from: number, to: number): readonly R[] } | null,
    value: (reading: R) => number,
  ): number | null => {
    const inside = (track?.readings(from_s, to_s) ?? []).map(value);
    return inside.length > 0
      ? meanOf(inside)
      : meanOrNull((track?.readings(since, context.now_s()) ?? []).slice(-1).map(value));
  };
  context.record({
    kind: "point-captured",
    point,
    output_kPa: context.toPressure(capture.mean),
    spread_kPa: capture.spread * perPercent,
    n: capture.n,
    n_effective: verdict.n_effective,
    u_settling_kPa: verdict.u * perPercent,
    ...(verdict.u_creep === undefined ? {} : { u_creep_kPa: verdict.u_creep * perPercent }),
    measured_mA: over(monitor.current, (r) => r.value.mA),
    commanded_mA: context.commanded_mA ?? point.nominal_mA,
    supply_kPa: over(monitor.supply, (r) => r.value.kPa),
    ambient_degC: over(monitor.ambient, (r) => r.value.degC),
    ...(monitor.humidity === null ? {} : { humidity_percent: over(monitor.humidity, (r) => r.value.percentRH) }),
    ...(monitor.airPressure === null ? {} : { air_pressure_kPa: over(monitor.airPressure, (r) => r.value.kPa) }),
    n_stale: capture.n_stale,
    n_outliers: capture.n_outliers,
    n_missed: capture.n_missed,
    settle_time_s: got.settle_time_s,
    approach: got.approach,
    verdict: verdictRecord(verdict),
    wait: waitRecord(got.start),
    samples: seen,
  });
};

/** One point of a stage: read and recorded, or recorded as not read. Gives the fault that ends the run, or null. */
function* takePoint(context: RunContext, stage: Stage, step: PointStep): Script<Fault | null> {
  const { kind: _, ...rest } = step;
  const point: PointRecord = { stage, ...rest };
  context.record({ kind: "point-started", point });
  const target = {
    percent: step.nominal_percent,
    direction: step.direction,
    where: `point ${step.ordinal} (${step.nominal_percent} % ${step.direction})`,
  };
  const got = yield* obtain(context, target, (by) =>
    context.record({ kind: "approach-repeated", point, overshoot_percent: by }),
  );
  switch (got.kind) {
    case "read":
      recordRead(context, point, got);
      return null;
    case "ended":
      return got.fault;
    case "not-read":
      context.record({
        kind: "point-not-settled",
        point,
        fault: faultRecord(got.fault),
        verdict: verdictRecord(got.verdict),
        wait: waitRecord(got.start),
        samples: samplesRecord(got.samples),
      });
      return context.policy.not_settled === "end" ? got.fault : null;
  }
}

/** Index of the first point: what lies before it is exercise. */
const headLength = (steps: readonly PlanStep[]): number => {
  const index = steps.findIndex((step) => step.kind === "point");
  return index < 0 ? steps.length : index;
};

function* takeSteps(context: RunContext, from: number, to: number, stage: Stage): Script<Fault | null> {
  const { steps } = context.request.plan;
  for (const [offset, step] of steps.slice(from, to).entries()) {
    const target_percent = step.kind === "point" ? step.nominal_percent : step.to_percent;
    context.live({ kind: "step", index: from + offset, of: steps.length, target_percent });
    const trouble = step.kind === "point" ? yield* takePoint(context, stage, step) : yield* exercise(context, step);
    if (trouble !== null) return trouble;
  }
  return null;
}

/** The strokes at the head of the plan, and what the rule learned from them. */
export function* exerciseStage(context: RunContext): Script<Fault | null> {
  const head = headLength(context.request.plan.steps);
  if (head === 0) return null;
  context.record({ kind: "stage-started", stage: "exercise" });
  // Preflight may have left the unit where the first stroke goes: a stroke that moves nothing teaches nothing.
  const [stroke] = context.request.plan.steps;
  if (stroke?.kind === "exercise" && stroke.to_percent === context.percent) {
    const back = yield* exercise(context, { to_percent: awayFrom(stroke.to_percent), hold_s: AWAY_HOLD_s });
    if (back !== null) return back;
  }
  const trouble = yield* takeSteps(context, 0, head, "as-found");
  const what = context.rule.learned();
  if (trouble === null && what.length > 0) context.record({ kind: "learned", what: [...what] });
  return trouble;
}

/**
 * Set point at which the branch of a step began: the last one before it where the way turned. A unit with hysteresis
 * comes to a point by the same way again only from there.
 */
const turningPointBefore = (steps: readonly PlanStep[], index: number): number | null => {
  const at = (i: number): number | null => {
    const step = steps[i];
    return step === undefined ? null : step.kind === "point" ? step.nominal_percent : step.to_percent;
  };
  let way = 0;
  for (let i = index; i > 0; i -= 1) {
    const [to, from] = [at(i), at(i - 1)];
    if (to === null || from === null) return null;
    const sign = Math.sign(to - from);
    if (way !== 0 && sign !== 0 && sign !== way) return to;
    if (sign !== 0) way = sign;
  }
  return at(0);
};

/** All points of the plan once, as found or as left; the rest of them where a pass broke off. */
export function* measureStage(context: RunContext, stage: Stage, taken?: ReadonlySet<number>): Script<Fault | null> {
  const { steps } = context.request.plan;
  const head = headLength(steps);
  let from = head;
  if (taken === undefined) {
    context.record({ kind: "stage-started", stage });
  } else {
    const next = steps.findIndex((step, i) => i >= head && step.kind === "point" && !taken.has(step.ordinal));
    from = next < 0 ? steps.length : next;
    const turn = next < 0 ? null : turningPointBefore(steps, next);
    if (turn !== null) {
      const trouble = yield* exercise(context, { to_percent: percentOfSpan(turn), hold_s: WAY_BACK_HOLD_s });
      if (trouble !== null) return trouble;
    }
  }
  const trouble = (yield* takeSteps(context, from, steps.length, stage)) ?? (yield* liftOffOfStage(context, stage));
  if (trouble === null) context.record({ kind: "stage-completed", stage });
  return trouble;
}
