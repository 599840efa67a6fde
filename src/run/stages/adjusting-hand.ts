import { filter, map, merge, type Observable, share, take, tap } from "rxjs";
import type { TurnOutcome, TurnRequest } from "../../ports/bench.ts";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { kPa } from "../../vocabulary/quantities.ts";
import { spanOf } from "../../vocabulary/signal-range.ts";
import type { RunContext } from "../run-context.ts";
import { type CueSample, type TurnCue, turnCue } from "./adjusting-cue.ts";
import { flowCue } from "./flow-cue.ts";

/** How a turn came to its end, with what only the readings can tell. */
export type HandOutcome =
  | TurnOutcome
  /** The unit is no longer there. */
  | { readonly kind: "gone"; readonly fault: Fault }
  /** Nobody came. */
  | { readonly kind: "nobody"; readonly why: string };

/** What is asked of the hand. */
export interface HandRequest extends Omit<TurnRequest, "live$"> {
  readonly why: string;
}

/** The output must be gone for so long before it is believed, s. */
const GONE_S = 4;
/** A unit whose lag was not seen: most converters with short tubing settle within this; common practice, no source. */
const USUAL_LAG_S = 1;

const goneFault = (at_kPa: number, current_mA: number | null): Fault =>
  fault(
    "unit",
    "adjustment-impossible",
    `The output fell to ${at_kPa.toFixed(2)} kPa while a screw was being turned.`,
    {
      means: `As found is complete and stands; the adjusting is not finished${current_mA === null ? "" : `, with ${current_mA.toFixed(3)} mA commanded`}.`,
      remedy: "See that the unit is plugged in and has air, then run it again; as found stays as it was recorded.",
    },
  );

/**
 * Asks the hand for one turn and watches over it: shows a cue with each reading, and ends the wait when the output is
 * gone or nobody has come for the patience of the policy.
 */
export const watchHand = (context: RunContext, { why: _, ...request }: HandRequest): Observable<HandOutcome> => {
  const { hand, transfer } = context.request;
  const asked_at_s = context.now_s();
  const patience_s = context.policy.hand_patience_s;
  const samples: CueSample[] = [];
  let goneSince_s: number | null = null;
  const span_kPa = spanOf(transfer.output);
  const lag_s = context.lag_s() ?? USUAL_LAG_S;
  const { lift_off } = request;
  const cueOf = (): TurnCue | null =>
    lift_off === undefined
      ? turnCue(samples, {
          target_kPa: request.target_kPa,
          within_kPa: request.within_kPa,
          span_kPa,
          lag_s,
          vented_kPa: transfer.output.mode === "gauge" ? kPa(0) : null,
          asked_at_s,
        })
      : flowCue(samples, { ...lift_off, span_kPa, lag_s, asked_at_s });
  const pressure$ = context.monitor.pressure.sampled$;
  const watched$ = pressure$.pipe(
    filter((sample) => sample.ok),
    tap(({ value }) => {
      samples.push({ at_s: value.at_s, kPa: value.value.kPa });
      if (samples.length > 4000) samples.splice(0, 2000);
    }),
    map(() => cueOf()),
    filter((cue) => cue !== null),
    tap((cue) => context.live({ kind: "turn-cue", cue })),
    share(),
  );
  const gone$ = watched$.pipe(
    map((cue): HandOutcome | null => {
      if (cue.kind !== "gone") {
        goneSince_s = null;
        return null;
      }
      goneSince_s ??= context.now_s();
      return context.now_s() - goneSince_s < GONE_S
        ? null
        : { kind: "gone", fault: goneFault(cue.at_kPa, context.commanded_mA) };
    }),
    filter((outcome) => outcome !== null),
  );
  const nobody$ = context.wait$(patience_s).pipe(
    map(
      (): HandOutcome => ({
        kind: "nobody",
        why: `nobody finished turning ${request.screw} within ${(patience_s / 60).toFixed(0)} min; as found stands, and what was turned so far is left as it is`,
      }),
    ),
  );
  const turned$ = hand.turn({ ...request, live$: pressure$ });
  return merge(gone$, turned$, nobody$).pipe(take(1));
};
