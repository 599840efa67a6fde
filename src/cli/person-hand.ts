import { defer, from, map, type Observable } from "rxjs";
import type { Hand, TurnOutcome } from "../ports/bench.ts";
import type { PressureUnit } from "../vocabulary/pressure-units.ts";
import { ask } from "./ask.ts";
import { pressureText } from "./live-view.ts";
import type { RunPrinter } from "./run-printer.ts";
import { type Streams, say } from "./streams.ts";

/** The person at the bench turns the screw, watches the moving view, and says when the hand is off. */
export const personHand = (streams: Streams, printer: RunPrinter, unit: PressureUnit): Hand | null => {
  if (!streams.canAsk) return null;
  return {
    turn: ({ screw, target_kPa, within_kPa }): Observable<TurnOutcome> =>
      defer(() => {
        printer.rest();
        say(
          streams.talk,
          `Turn ${screw.toUpperCase()} slowly until the gauge shows ${pressureText(target_kPa, unit)}, within ${pressureText(within_kPa, unit)}.`,
        );
        return from(ask(streams, "Enter when your hand is off; n = the screw has no effect; g = give up: "));
      }).pipe(
        map((answer): TurnOutcome => {
          const word = answer?.trim().toLowerCase();
          if (word === "n") return { kind: "no-effect" };
          if (answer === null || word === "g") return { kind: "gave-up", reason: "the person at the screw gave up" };
          return { kind: "let-go" };
        }),
      ),
  };
};
