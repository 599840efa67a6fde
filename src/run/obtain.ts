import { filter, map, merge } from "rxjs";
import type { Fault } from "../vocabulary/fault.ts";
import type { Direction } from "../vocabulary/reading.ts";
import { rampTo } from "./approach.ts";
import { type Capture, capture, overshoot, type SeenSample } from "./capture.ts";
import { awaitLine } from "./line-return.ts";
import { rampLag_s } from "./ramp-lag.ts";
import type { RunContext } from "./run-context.ts";
import { first, type Script } from "./script.ts";
import { hold, isLost, settle } from "./settle.ts";
import type { PointStart, SettlingRule, SettlingVerdict } from "./settling/settling-rule.ts";
import { verdictFault } from "./verdict-fault.ts";

export interface Target {
  readonly percent: number;
  readonly direction: Direction;
  /** In words, for messages: `50 % rising`. */
  readonly where: string;
}

type SettledVerdict = Extract<SettlingVerdict, { kind: "settled" }>;

export type Obtained =
  | {
      readonly kind: "read";
      readonly start: PointStart;
      readonly verdict: SettledVerdict;
      readonly capture: Capture;
      readonly samples: readonly SeenSample[];
      readonly settle_time_s: number;
      readonly approach: "clean" | "overshot";
    }
  | {
      readonly kind: "not-read";
      readonly start: PointStart;
      readonly verdict: SettlingVerdict;
      readonly fault: Fault;
      readonly samples: readonly SeenSample[];
    }
  /** The run cannot go on. */
  | { readonly kind: "ended"; readonly fault: Fault };

/** Way back when a target is approached again without having come from anywhere, % of span. */
const BACK_OFF = 10;
/**
 * An exhaust to the air no longer chokes near zero pressure, so the last of the output leaves ever more slowly (subcritical
 * orifice flow, ISO 6358), which nothing on the way down foretells. kPa gauge, s.
 */
const AT_ATMOSPHERE_kPa = 0.5;
const EMPTYING_s = 45;
/** Longest wait for the output to follow a back-off, s. */
const BACK_OFF_LIMIT_S = 30;

/** Where an approach in `direction` to `target` begins anew. */
const backOffFrom = (context: RunContext, target: Target, cameFrom: number): number => {
  const side = target.direction === "rising" ? -1 : 1;
  if (Math.sign(cameFrom - target.percent) === side) return cameFrom;
  const targets = context.request.plan.steps.map((s) => (s.kind === "point" ? s.nominal_percent : s.to_percent));
  const [lowest, highest] = [Math.min(target.percent, ...targets), Math.max(target.percent, ...targets)];
  return Math.min(highest, Math.max(lowest, target.percent + side * BACK_OFF));
};

/** Goes back to the side it came from, and waits until the output has followed at least half the way. */
function* backOff(context: RunContext, target: Target, to: number): Script<Fault | null> {
  const from = context.percent ?? to;
  const moved = yield* rampTo(context, to);
  if (!moved.ok) return moved.fault;
  const middle = (to + target.percent) / 2;
  const followed$ = context.monitor.pressure.sampled$.pipe(
    filter((s) => s.ok && Math.sign(context.toPercent(s.value.value.kPa) - middle) === Math.sign(to - middle)),
    map(() => null),
  );
  if (to !== target.percent) yield* first(merge(followed$, context.wait$(BACK_OFF_LIMIT_S)));
  // The rule has to know of this move as well: it may creep on under the next reading.
  return yield* hold(context, 2, "backing off", { start: { at_s: moved.value, from, to, role: "exercise" } });
}

type Attempt =
  | Obtained
  | { readonly kind: "lost"; readonly fault: Fault }
  | { readonly kind: "past"; readonly by: number; readonly read: Extract<Obtained, { kind: "read" }> };

/** Shorter ways, % of span, say too little of the lag. */
const LEAST_WAY = 5;

/** What an approach tells of the lag of the output, for whoever has to look ahead. */
const learnLag = (
  context: RunContext,
  samples: readonly SeenSample[],
  way: { readonly begun_s: number; readonly ramped_s: number; readonly to: number },
): void => {
  const seen = samples.flatMap(({ at_s, sample }) =>
    sample.ok ? [{ t_s: at_s - way.begun_s, value: context.toPercent(sample.value.value.kPa) }] : [],
  );
  const from = seen[0]?.value;
  if (from === undefined || Math.abs(way.to - from) < LEAST_WAY) return;
  const lag_s = rampLag_s(seen, way.ramped_s, from, way.to);
  if (lag_s !== null) context.sawLag(lag_s);
};

/** One approach and one wait. */
function* attempt(context: RunContext, target: Target, rule: SettlingRule, slower: number): Script<Attempt> {
  const from = context.percent ?? target.percent;
  const begun_s = context.now_s();
  const moved = yield* rampTo(context, target.percent, slower);
  if (!moved.ok)
    return isLost(moved.fault) ? { kind: "lost", fault: moved.fault } : { kind: "ended", fault: moved.fault };

  const start = {
    at_s: moved.value,
    from,
    to: target.percent,
    role: "point",
    ramp_s: moved.value - begun_s,
    least_s: context.toPressure(target.percent) <= AT_ATMOSPHERE_kPa ? EMPTYING_s : 0,
  } as const;
  const settling = yield* settle(context, start, rule);
  if (settling.kind === "lost") return settling;
  const { verdict } = settling;
  const samples = context.monitor.pressure.since(begun_s);
  const refusal = verdictFault(verdict, target.where);
  if (refusal !== null) return { kind: "not-read", start, verdict, fault: refusal, samples };
  if (verdict.kind !== "settled") throw new Error(`the settling rule ended with "${verdict.kind}"`);

  const toPercent = (pressure_kPa: number): number => context.toPercent(pressure_kPa);
  const taken = capture(
    samples.filter((s) => s.at_s >= start.at_s),
    verdict,
    toPercent,
  );
  const read = {
    kind: "read",
    start,
    verdict,
    capture: taken,
    samples,
    settle_time_s: context.now_s() - start.at_s,
    approach: "clean",
  } as const;
  learnLag(context, samples, { begun_s, ramped_s: moved.value - begun_s, to: verdict.value });
  const by = overshoot(
    samples,
    { value: verdict.value, from_s: verdict.from_s, spread: taken.spread },
    start,
    toPercent,
  );
  return by > context.request.plan.approach.overshoot_percent ? { kind: "past", by, read } : read;
}

/**
 * Approaches a target from its own side and reads it when it stands still. An overshoot is answered by a slower
 * approach from the right side, a lost line by waiting for it; `repeated` hears of each overshoot that is tried again.
 */
export function* obtain(
  context: RunContext,
  target: Target,
  repeated: (by: number) => void,
  rule: SettlingRule = context.rule,
): Script<Obtained> {
  const cameFrom = backOffFrom(context, target, context.percent ?? target.percent);
  const { retries } = context.request.plan.approach;
  // From the wrong side, as after adjusting at the other end: go past the target first, where the range lets it.
  const wrongSide = target.direction === "rising" ? 1 : -1;
  if (Math.sign((context.percent ?? target.percent) - target.percent) === wrongSide && cameFrom !== target.percent) {
    const trouble = yield* backOff(context, target, cameFrom);
    if (trouble !== null && !isLost(trouble)) return { kind: "ended", fault: trouble };
  }
  let overshot = 0;
  let lost = 0;
  for (;;) {
    const seen = yield* attempt(context, target, rule, 2 ** overshot);
    const silent = seen.kind === "not-read" && seen.verdict.kind === "no-new-data";
    if (seen.kind === "past") {
      if (overshot >= retries) return { ...seen.read, approach: "overshot" };
      overshot += 1;
      repeated(seen.by);
    } else if (seen.kind === "lost" || (silent && lost < context.policy.line_retries)) {
      if (lost >= context.policy.line_retries) return { kind: "ended", fault: seen.fault };
      lost += 1;
      const gone = yield* awaitLine(context, seen.fault);
      if (gone !== null) return { kind: "ended", fault: gone };
    } else {
      return seen;
    }
    const trouble = yield* backOff(context, target, cameFrom);
    if (trouble !== null && !isLost(trouble)) return { kind: "ended", fault: trouble };
  }
}
