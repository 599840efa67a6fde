import type { Identity } from "../../src/ports/instruments.ts";
import type { Prompter } from "../../src/ports/prompter.ts";
import type { Timers } from "../../src/ports/timers.ts";
import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import { parseQuantityOf, type QuantityKind, type QuantityOf } from "../../src/vocabulary/quantity-text.ts";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";

/** An instrument that a person works and reads. */
export interface PersonSettings {
  readonly name: string;
  readonly serial_number: string;
  readonly prompter: Prompter;
  readonly timers: Timers;
  /** Longest time a person may take to answer, s. */
  readonly patience_s?: number;
}

const PATIENCE_S = 600;
/** How often a text that cannot be read is asked again. */
const ATTEMPTS = 3;

export interface PersonTalk {
  identify(): Promise<Result<Identity, Fault>>;
  /** Asks for one quantity; a text that cannot be read is asked again with the reason. */
  quantity<K extends QuantityKind>(kind: K, text: string, example: string): Promise<Result<QuantityOf<K>, Fault>>;
  close(): void;
}

export const talkToPerson = (settings: PersonSettings): PersonTalk => {
  const { name, serial_number, prompter, timers } = settings;
  const patience_s = settings.patience_s ?? PATIENCE_S;
  const ending = new AbortController();

  const ask = async (text: string, example: string): Promise<Result<string, Fault>> => {
    const question = new AbortController();
    let tooLate = false;
    const cancel = timers.after(patience_s, () => {
      tooLate = true;
      question.abort();
    });
    const answer = await prompter.ask(
      { instrument: name, text, example },
      AbortSignal.any([question.signal, ending.signal]),
    );
    cancel();
    if (answer !== null) return ok(answer.trim());
    if (tooLate) {
      return err(
        fault("communication", "silence", `Nobody answered for ${name} within ${patience_s} s.`, {
          means: "There is no value.",
        }),
      );
    }
    return err(
      fault("stopped", "stopped-by-person", `The question about ${name} was called off.`, {
        means: "There is no value.",
      }),
    );
  };

  return {
    identify: async () => {
      const typed = await ask(`Read the serial number on the label of ${name} and type it.`, serial_number);
      if (!typed.ok) return typed;
      if (typed.value !== serial_number) {
        return err(
          fault(
            "device",
            "wrong-identity",
            `The label of ${name} says ${typed.value}; the bench file says ${serial_number}.`,
            {
              means: "Certificate and corrections are of another instrument, so no value of it counts.",
              remedy: "Take the instrument that the bench file names, or correct the bench file.",
            },
          ),
        );
      }
      return ok({ maker: "worked by hand", model: name, serial_number, simulated: false });
    },
    quantity: async (kind, text, example) => {
      let reason = "";
      for (let attempt = 0; attempt < ATTEMPTS; attempt += 1) {
        const typed = await ask(`${reason}${text}`, example);
        if (!typed.ok) return typed;
        const parsed = parseQuantityOf(kind, typed.value);
        if (parsed.ok) return parsed;
        reason = `${parsed.fault.message} ${parsed.fault.remedy} `;
      }
      return err(
        fault("device", "not-a-number", `No answer about ${name} could be read as ${example} can.`, {
          means: "There is no value.",
          remedy: "Write a number and its unit.",
        }),
      );
    },
    close: () => ending.abort(),
  };
};
