import type { AdjustmentMove } from "../../vocabulary/adjustment.ts";
import type { Fault } from "../../vocabulary/fault.ts";
import { liftOffFor, outputByLiftOff } from "../../vocabulary/lift-off.ts";
import { kPa, percentOfSpan } from "../../vocabulary/quantities.ts";
import { inputFor, spanOf } from "../../vocabulary/signal-range.ts";
import { rampTo } from "../approach.ts";
import type { RunContext } from "../run-context.ts";
import type { LiftOffSearch } from "../run-request.ts";
import type { Script } from "../script.ts";
import { hold } from "../settle.ts";
import type { HandRequest } from "./adjusting-hand.ts";
import type { ReadingSeen, Short } from "./adjusting-seen.ts";
import { findLiftOff } from "./find-lift-off.ts";

/** From this on above its floor the output surely flows, % of span; or six times the noise of the gauge. */
const SIGN_PERCENT = 0.05;
const SIGN_NOISES = 6;
const REST_S = 4;

/**
 * The low end of a range that begins at zero pressure, as its lift-off tells it: the output continued below zero.
 * null: it flows already at the lowest input, so that the low end can be read as it is.
 */
export function* readLowByLiftOff(
  context: RunContext,
  search: LiftOffSearch,
  expected_percent: number | null,
): Script<ReadingSeen | Short | null> {
  const found = yield* findLiftOff(context, search, "adjusting", expected_percent);
  if (found.kind === "ended") return found;
  if (found.kind === "not-found" && found.early) return null;
  if (found.kind === "not-found") return { kind: "short", why: found.why };
  const { transfer } = context.request;
  return {
    kind: "reading",
    at: "lower",
    output_kPa: kPa(outputByLiftOff(transfer, found.input_percent)),
    u_kPa: kPa((found.u_percent / 100) * spanOf(transfer.output)),
  };
}

/** What the last search of the run saw of the gauge while nothing flowed. */
const floorOf = (context: RunContext): { readonly floor_kPa: number; readonly noise_kPa: number } => {
  const floor_kPa = context.floor_kPa ?? context.vented_kPa ?? 0;
  const now_s = context.now_s();
  const seen = context.monitor.pressure.readings(now_s - 2, now_s).map((r) => r.value.kPa);
  const steps = seen.slice(1).map((v, i) => (v - (seen[i] ?? v)) ** 2);
  const noise_kPa = steps.length < 3 ? 0 : Math.sqrt(steps.reduce((sum, v) => sum + v, 0) / steps.length / 2);
  return { floor_kPa, noise_kPa };
};

/** The zero screw set by lift-off: where the input is held for it, and what the hand is asked for. */
export interface LiftOffTurn {
  readonly expected_percent: number;
  readonly at_percent: number;
  readonly request: HandRequest;
}

/**
 * Holds the input where the output ought just to show a first sign of flow, come to from the lowest input as in each
 * search, so that a loop is entered in the same way. null: the wanted
 * lift-off lies below the lowest input, and zero is set by what the gauge shows at 0 %, as anywhere else.
 */
export function* holdForLiftOff(
  context: RunContext,
  search: LiftOffSearch,
  move: Extract<AdjustmentMove, { kind: "turn" }>,
): Script<LiftOffTurn | null | { readonly kind: "ended"; readonly fault: Fault }> {
  const { transfer } = context.request;
  const expected_percent = liftOffFor(transfer, move.target_kPa);
  if (expected_percent < search.lowest_percent + 0.2) return null;
  const down = yield* rampTo(context, search.lowest_percent);
  if (!down.ok) return { kind: "ended", fault: down.fault };
  const rested = yield* hold(context, REST_S, "below lift-off");
  if (rested !== null) return { kind: "ended", fault: rested };
  const { floor_kPa, noise_kPa } = floorOf(context);
  const span_kPa = spanOf(transfer.output);
  const sign_kPa = Math.max((SIGN_PERCENT / 100) * span_kPa, SIGN_NOISES * noise_kPa);
  // Brought back to none, the flow stands on average at half of its first sign.
  const at_percent = expected_percent + (50 * sign_kPa) / span_kPa;
  context.live({ kind: "going", target_percent: at_percent });
  const up = yield* rampTo(context, at_percent);
  if (!up.ok) return { kind: "ended", fault: up.fault };
  const risen = yield* hold(context, REST_S, "at the wanted lift-off");
  if (risen !== null) return { kind: "ended", fault: risen };
  const held_mA = inputFor(transfer, percentOfSpan(at_percent)).toFixed(3);
  return {
    expected_percent,
    at_percent,
    request: {
      screw: "zero",
      target_kPa: kPa(floor_kPa + sign_kPa / 2),
      within_kPa: kPa(sign_kPa / 2),
      lift_off: { floor_kPa: kPa(floor_kPa), sign_kPa: kPa(sign_kPa) },
      why: `${move.why}; held at ${held_mA} mA: raise zero to the first sign of flow, bring it back to none`,
    },
  };
}
