import type { RunEvent, RunEventOf } from "../../readings/run-event.ts";
import type { AdjustmentMove, AdjustmentSeen, NextAdjustment, RangeEnd } from "../../vocabulary/adjustment.ts";
import type { Fault } from "../../vocabulary/fault.ts";
import { liftOffFor, outputByLiftOff } from "../../vocabulary/lift-off.ts";
import { type Kilopascal, kPa, percentOfSpan } from "../../vocabulary/quantities.ts";
import type { Direction } from "../../vocabulary/reading.ts";
import { inputFor, spanOf } from "../../vocabulary/signal-range.ts";
import { rampTo } from "../approach.ts";
import { obtain } from "../obtain.ts";
import type { RunContext } from "../run-context.ts";
import { first, type Script } from "../script.ts";
import { type HandRequest, watchHand } from "./adjusting-hand.ts";
import { holdForLiftOff, readLowByLiftOff } from "./adjusting-lift-off.ts";
import type { ReadingSeen, Short, TurnSeen } from "./adjusting-seen.ts";

const percentAt = (context: RunContext, at: RangeEnd): number => {
  const { lower_percent, upper_percent } = context.request.plan.adjust_at;
  return at === "lower" ? lower_percent : upper_percent;
};

export interface AdjustingEnd {
  readonly fault: Fault | null;
  /** A screw was turned, so what was found is no longer what is left. */
  readonly touched: boolean;
}

/** Reads one end: settled at its input, or by lift-off where zero pressure would hide it. */
function* readEnd(context: RunContext, at: RangeEnd, expected: number | null = null): Script<ReadingSeen | Short> {
  const search = context.request.lift_off;
  const lifted = at === "lower" && search !== undefined ? yield* readLowByLiftOff(context, search, expected) : null;
  return lifted ?? (yield* readSettled(context, at));
}

/** Goes to one end, or stays there, and reads it settled. */
function* readSettled(context: RunContext, at: RangeEnd): Script<ReadingSeen | Short> {
  const percent = percentAt(context, at);
  const direction = at === "lower" ? "falling" : "rising";
  const target = { percent, direction, where: `${percent} % while adjusting` } as const;
  context.live({ kind: "going", target_percent: percent });
  const got = yield* obtain(context, target, () => undefined, context.adjustingRule);
  if (got.kind === "ended") return { kind: "ended", fault: got.fault };
  if (got.kind === "not-read") return { kind: "short", why: got.fault.message };
  const perPercent = Math.abs(context.toPressure(1) - context.toPressure(0));
  const output_kPa = kPa(context.toPressure(got.capture.mean));
  const u_kPa = kPa(got.verdict.u * perPercent);
  context.record({
    kind: "adjustment-reading",
    at_percent: percent,
    at_mA: inputFor(context.request.transfer, percentOfSpan(percent)),
    output_kPa,
    u_settling_kPa: u_kPa,
  });
  return { kind: "reading", at, output_kPa, u_kPa };
}

const pressureOf = (seen: AdjustmentSeen): Kilopascal => (seen.kind === "turn" ? seen.after_kPa : seen.output_kPa);

/** The low end by the lift-off of as found. */
const liftedOff = (context: RunContext, asFound: readonly RunEvent[]): ReadingSeen | undefined => {
  const found = asFound.findLast((e) => e.kind === "lift-off-found");
  if (found?.kind !== "lift-off-found") return undefined;
  const { transfer } = context.request;
  const u_kPa = kPa((found.u_percent / 100) * spanOf(transfer.output));
  return { kind: "reading", at: "lower", output_kPa: kPa(outputByLiftOff(transfer, found.input_percent)), u_kPa };
};

/**
 * What as found already tells of the two ends: nothing was touched since, so a reading taken there on the same way
 * need not be taken again.
 */
const knownEnds = (context: RunContext, asFound: readonly RunEvent[]): readonly ReadingSeen[] => {
  const perPoint = (at: RangeEnd, direction: Direction): ReadingSeen | undefined => {
    const captured = asFound.findLast(
      (e): e is RunEventOf<"point-captured"> =>
        e.kind === "point-captured" &&
        e.point.nominal_percent === percentAt(context, at) &&
        e.point.direction === direction &&
        e.approach === "clean",
    );
    return (
      captured && { kind: "reading", at, output_kPa: kPa(captured.output_kPa), u_kPa: kPa(captured.u_settling_kPa) }
    );
  };
  const low = context.request.lift_off === undefined ? perPoint("lower", "falling") : liftedOff(context, asFound);
  return [perPoint("upper", "rising"), low].filter((known) => known !== undefined);
};

/** One turn of one screw: read before, let the hand turn, read after. */
function* turn(
  context: RunContext,
  move: Extract<AdjustmentMove, { kind: "turn" }>,
  seen: readonly AdjustmentSeen[],
): Script<TurnSeen | Short> {
  const { lift_off, plan } = context.request;
  const last = seen.at(-1);
  const byLiftOff = lift_off !== undefined && move.screw === "zero";
  // Lift-off is looked for at inputs of its own; what was last seen of it holds until a screw is turned.
  const there = last?.at === move.at && (byLiftOff || context.percent === percentAt(context, move.at));
  const before = there ? last : yield* readEnd(context, move.at);
  if (before.kind === "short" || before.kind === "ended") return before;

  const held = byLiftOff ? yield* holdForLiftOff(context, lift_off, move) : null;
  if (held !== null && "kind" in held) return held;
  if (byLiftOff && held === null) {
    const moved = yield* rampTo(context, plan.adjust_at.lower_percent);
    if (!moved.ok) return { kind: "ended", fault: moved.fault };
  }
  const percent = held?.at_percent ?? percentAt(context, move.at);
  const { screw, target_kPa, within_kPa, why } = move;
  const request: HandRequest = held?.request ?? { screw, target_kPa, within_kPa, why };
  context.live({ ...request, kind: "turn-asked", at: move.at, at_percent: percent });
  const outcome = yield* first(watchHand(context, request));
  context.live({ kind: "turn-ended" });
  if (outcome.kind === "gone") {
    context.record({ kind: "hand-noticed", at_percent: percent, what: outcome.fault.message });
    return { kind: "ended", fault: outcome.fault };
  }
  if (outcome.kind === "nobody") {
    context.record({ kind: "hand-noticed", at_percent: percent, what: outcome.why });
    return { kind: "short", why: outcome.why };
  }
  const after = yield* readEnd(context, move.at, byLiftOff ? liftOffFor(context.request.transfer, target_kPa) : null);
  if (after.kind !== "reading") return after;
  context.record({
    kind: "screw-turned",
    screw,
    at_percent: percent,
    at_mA: inputFor(context.request.transfer, percentOfSpan(percent)),
    target_kPa,
    before_kPa: pressureOf(before),
    after_kPa: after.output_kPa,
    ...(held === null ? {} : { by: "lift-off" }),
  });
  return {
    kind: "turn",
    screw,
    at: move.at,
    target_kPa,
    before_kPa: pressureOf(before),
    after_kPa: after.output_kPa,
    u_kPa: after.u_kPa,
    outcome: outcome.kind,
  };
}

const roundsOf = (seen: readonly AdjustmentSeen[]): number => {
  const turns = (screw: "zero" | "span"): number => seen.filter((s) => s.kind === "turn" && s.screw === screw).length;
  return Math.max(turns("zero"), turns("span"));
};

/** Closes as found: after this no point is added to it, whatever the hand does. */
const freezeAsFound = (context: RunContext, asFound: readonly RunEvent[]): void => {
  const planned = context.request.plan.steps.filter((step) => step.kind === "point").length;
  const points = new Set(asFound.flatMap((e) => (e.kind === "point-captured" ? [e.point.ordinal] : []))).size;
  const missing = planned - points;
  const restless = asFound.findLast((e) => e.kind === "point-not-settled");
  const reason =
    restless?.kind === "point-not-settled" ? restless.fault.message : "not every planned point gave a reading";
  context.record({ kind: "as-found-frozen", points, missing, ...(missing > 0 ? { reason } : {}) });
};

/** Says what adjusting can do, and gives the guide that aims for it; the reason instead where it cannot help. */
const prospectOf = (
  context: RunContext,
  asFound: readonly RunEvent[],
): { readonly next: NextAdjustment; readonly cannot: string | null } => {
  const { prospect, nextAdjustment, adjust } = context.request;
  const found = prospect?.(asFound) ?? null;
  if (found === null) return { next: nextAdjustment, cannot: null };
  const { next, ...outlook } = found;
  context.record({ kind: "adjustment-outlook", ...outlook });
  const cannot = found.can_pass || adjust === "always" ? null : `adjusting cannot bring it within: ${found.words}`;
  return { next, cannot };
};

/** Adjusting that broke off: what of it still holds. */
export interface AdjustingBefore {
  /** As found was closed already. */
  readonly frozen: boolean;
  /** A hand may have been at a screw since as found was read. */
  readonly turned: boolean;
}

/** Lets the caller's decision guide the hand until it is content, or says that it cannot be. */
export function* adjustingStage(
  context: RunContext,
  { frozen, turned }: AdjustingBefore = { frozen: false, turned: false },
): Script<AdjustingEnd> {
  const asFound = context.stageEvents("as-found");
  const seen: AdjustmentSeen[] = turned ? [] : [...knownEnds(context, asFound)];
  if (!frozen) freezeAsFound(context, asFound);
  context.record({ kind: "stage-started", stage: "adjusting" });
  let touched = turned;
  const end = (outcome: "within-aim" | "impossible" | "given-up", why: string, rounds: number): AdjustingEnd => {
    context.record({ kind: "adjustment-ended", outcome, why, rounds });
    return { fault: null, touched };
  };
  const { next, cannot } = prospectOf(context, asFound);
  if (cannot !== null) return end("impossible", cannot, 0);
  for (;;) {
    const move = next(seen);
    if (move.kind === "done" || move.kind === "impossible") {
      if (move.learned !== undefined) context.record({ kind: "interplay-learned", ...move.learned });
      return end(move.kind === "done" ? "within-aim" : "impossible", move.why, move.rounds);
    }
    if (move.noticed !== undefined)
      context.record({ kind: "hand-noticed", at_percent: percentAt(context, move.at), what: move.noticed });
    touched ||= move.kind === "turn";
    const got = move.kind === "measure" ? yield* readEnd(context, move.at) : yield* turn(context, move, seen);
    if (got.kind === "ended") return { fault: got.fault, touched };
    if (got.kind === "short") return end("given-up", got.why, roundsOf(seen));
    seen.push(got);
  }
}
