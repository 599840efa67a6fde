import {
  filter,
  last,
  map,
  merge,
  type Observable,
  repeat,
  share,
  startWith,
  switchMap,
  takeUntil,
  tap,
  timer,
} from "rxjs";
import type { Fault, FaultCode } from "../vocabulary/fault.ts";
import type { RunContext } from "./run-context.ts";
import { first, type Script } from "./script.ts";
import { handReadRule } from "./settling/rules/hand-read.ts";
import { lineThrough } from "./settling/rules/window.ts";
import { settled } from "./settling/settled.ts";
import type { PointStart, SettlingRule, SettlingSample, SettlingVerdict } from "./settling/settling-rule.ts";

/** Faults after which the line has to come back before anything can be read. */
const LOST: readonly FaultCode[] = ["line-lost", "line-closed", "cannot-open"];

export const isLost = (fault: Fault): boolean => LOST.includes(fault.code);

/** Samples for the settling rule: every poll, and a "no value" whenever the stream itself has fallen silent. */
const settlingSamples = (context: RunContext): Observable<SettlingSample> => {
  const sampled$ = context.monitor.pressure.sampled$;
  const polled$ = sampled$.pipe(
    map((sample) =>
      sample.ok
        ? { time_s: sample.value.at_s, value: context.toPercent(sample.value.value.kPa) }
        : { time_s: context.now_s(), value: null },
    ),
  );
  const silence$ = sampled$.pipe(
    startWith(null),
    switchMap(() => timer(context.policy.watch_s * 1000, context.request.scheduler).pipe(repeat())),
    map(() => ({ time_s: context.now_s(), value: null })),
  );
  return merge(polled$, silence$);
};

/** Slope over the last three seconds, % of span per minute, for the eye. */
const slopeNow = (context: RunContext): number | null => {
  const now = context.now_s();
  const seen = context.monitor.pressure
    .readings(now - 3, now)
    .map((r) => ({ time_s: r.at_s, value: context.toPercent(r.value.kPa) }));
  const line = lineThrough(seen);
  return line === null ? null : line.slope * 60;
};

const showVerdict = (context: RunContext, since_s: number, verdict: SettlingVerdict): void =>
  context.live({
    kind: "verdict",
    verdict,
    waited_s: context.now_s() - since_s,
    slope_percent_per_min: slopeNow(context),
  });

export type Settling =
  | { readonly kind: "verdict"; readonly verdict: SettlingVerdict }
  | { readonly kind: "lost"; readonly fault: Fault };

/** A gauge that a person reads gives too few readings for any other rule, whatever the plan or a check asks for. */
const byHand = (context: RunContext): SettlingRule | null => {
  const { readable_kPa } = context.request.preflight.gauge;
  if (readable_kPa === undefined) return null;
  const perPercent = Math.abs(context.toPressure(1) - context.toPressure(0));
  return handReadRule({ readable_percent: readable_kPa / perPercent });
};

/** Waits until the rule has a final word, or the line is lost. */
export function* settle(context: RunContext, start: PointStart, rule: SettlingRule = context.rule): Script<Settling> {
  const verdict$ = settlingSamples(context).pipe(
    settled(byHand(context) ?? rule, start),
    tap((verdict) => showVerdict(context, start.at_s, verdict)),
    last(),
    map((verdict): Settling => ({ kind: "verdict", verdict })),
  );
  const lost$ = context.monitor.pressure.sampled$.pipe(
    filter((sample) => !sample.ok && isLost(sample.fault)),
    map((sample): Settling => (sample.ok ? never() : { kind: "lost", fault: sample.fault })),
  );
  return yield* first(merge(lost$, verdict$));
}

const never = (): never => {
  throw new Error("a good sample was taken for a lost line");
};

/**
 * Holds for `hold_s`. With `watch` the rule watches from its start and learns; what it says is shown and is no result.
 * From `least_s` on the hold ends when the rule has said its last word, for then it has learned what it can.
 */
export function* hold(
  context: RunContext,
  hold_s: number,
  why: string,
  watch?: { readonly start: PointStart; readonly least_s?: number | undefined },
): Script<Fault | null> {
  const end$ = context.wait$(hold_s).pipe(share());
  context.live({ kind: "holding", why, until_s: context.now_s() + hold_s });
  const lost$ = context.monitor.pressure.sampled$.pipe(
    filter((sample) => !sample.ok && isLost(sample.fault)),
    map((sample): Fault | null => (sample.ok ? null : sample.fault)),
  );
  const over$ = end$.pipe(map(() => null));
  if (watch === undefined) return yield* first(merge(over$, lost$));
  const { start, least_s } = watch;
  context.rule.begin(start);
  const least_until_s = context.now_s() + (least_s ?? Number.POSITIVE_INFINITY);
  const learned$ = settlingSamples(context).pipe(
    map((sample) => context.rule.take(sample)),
    tap((verdict) => showVerdict(context, start.at_s, verdict)),
    filter((verdict) => verdict.kind === "settled" && context.now_s() >= least_until_s),
    map(() => null),
    takeUntil(end$),
  );
  return yield* first(merge(learned$, over$, lost$));
}
