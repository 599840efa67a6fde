import type { TurnAnswer, TurnWish } from "../app/person-hand.ts";
import type { PressureUnit } from "../vocabulary/pressure-units.ts";
import { askKey } from "./ask-key.ts";
import { TURN_KEYS, turnQuestion } from "./hand-view.ts";
import type { RunPrinter } from "./run-printer.ts";
import { type Streams, say } from "./streams.ts";

/** Asks the person at the screw, and waits for one key: that of a keyboard, or a foot switch that sends space or Enter. */
export const askTurn =
  (streams: Streams, printer: Pick<RunPrinter, "rest">, unit: PressureUnit) =>
  async (wish: TurnWish, signal: AbortSignal): Promise<TurnAnswer> => {
    printer.rest();
    say(streams.talk, turnQuestion(wish, unit));
    // The moving view names the keys; a question in its way would only be torn by it.
    const question = streams.live ? null : `${TURN_KEYS}: `;
    const key = await askKey(streams, question, ["space", "return", "n", "g"], signal);
    return key === "n" ? "no-effect" : key === null || key === "g" ? "give-up" : "let-go";
  };
