import { defer, from, map, type Observable } from "rxjs";
import type { Hand, TurnOutcome } from "../ports/bench.ts";
import type { Screw } from "../vocabulary/reading.ts";

/** What the person at the screw answers: the hand is off, the screw does nothing, or enough of it. */
export type TurnAnswer = "let-go" | "no-effect" | "give-up";

export interface TurnWish {
  readonly screw: Screw;
  readonly target_kPa: number;
  readonly within_kPa: number;
}

/** The person at the bench turns the screw, watches the moving view, and says when the hand is off. */
export const personHand = (askTurn: (wish: TurnWish) => Promise<TurnAnswer>): Hand => ({
  turn: ({ screw, target_kPa, within_kPa }): Observable<TurnOutcome> =>
    defer(() => from(askTurn({ screw, target_kPa, within_kPa }))).pipe(
      map(
        (answer): TurnOutcome =>
          answer === "give-up" ? { kind: "gave-up", reason: "the person at the screw gave up" } : { kind: answer },
      ),
    ),
});
