import { map, Observable } from "rxjs";
import type { Hand, TurnOutcome } from "../ports/bench.ts";
import type { Screw } from "../vocabulary/reading.ts";

/** What the person at the screw answers: the hand is off, the screw does nothing, or enough of it. */
export type TurnAnswer = "let-go" | "no-effect" | "give-up";

export interface TurnWish {
  readonly screw: Screw;
  readonly target_kPa: number;
  readonly within_kPa: number;
  /** Zero by lift-off: raise to the first sign of flow, bring it back to none. */
  readonly lift_off?: { readonly floor_kPa: number; readonly sign_kPa: number };
}

/** The person at the bench turns the screw, watches the moving view, and says when the hand is off. */
export const personHand = (askTurn: (wish: TurnWish, signal: AbortSignal) => Promise<TurnAnswer>): Hand => ({
  turn: ({ live$: _, ...wish }): Observable<TurnOutcome> =>
    new Observable<TurnAnswer>((out) => {
      // The question goes away when the run no longer waits for it: the unit is gone, or the person stopped the run.
      const off = new AbortController();
      askTurn(wish, off.signal).then(
        (answer) => {
          out.next(answer);
          out.complete();
        },
        (trouble: unknown) => out.error(trouble),
      );
      return () => off.abort();
    }).pipe(
      map(
        (answer): TurnOutcome =>
          answer === "give-up" ? { kind: "gave-up", reason: "the person at the screw gave up" } : { kind: answer },
      ),
    ),
});
