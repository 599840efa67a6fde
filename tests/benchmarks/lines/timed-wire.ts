import type { RegisterBank } from "../../../drivers/frames/register-slave.ts";
import { rtuSlaveStream } from "../../../drivers/frames/slave-stream.ts";
import type { PipeEvents, Transport } from "../../../drivers/links/transport.ts";
import { ok } from "../../../src/vocabulary/result.ts";
import { now_s } from "./figures.ts";

/** Runs `work` at an instant, to some hundredths of a millisecond. */
const at = (instant_s: number, work: () => void): void => {
  const look = (): void => {
    const left_s = instant_s - now_s();
    if (left_s <= 0) work();
    else if (left_s > 0.003) setTimeout(look, 1000 * left_s - 2);
    else setImmediate(look);
  };
  look();
};

/** Length of a part of an answer that arrives at once, bytes: a serial chip hands over what has gathered. */
const PORTION = 4;

export interface TimedWire {
  readonly transport: Transport;
  /** From the last byte of each answer to the next request, s: what the asking side takes. */
  readonly turnarounds_s: readonly number[];
}

/** A serial line in the process, on the clock on the wall, on which every character takes its time. */
export const timedWire = (
  character_s: number,
  answer_time_s: number,
  bankAt: (unit: number) => RegisterBank,
): TimedWire => {
  const turnarounds_s: number[] = [];
  let ended_s: number | null = null;

  const answerTo = (request: Uint8Array, heard_s: number, events: PipeEvents): void => {
    const [answer] = rtuSlaveStream(bankAt).receive(request);
    if (answer === undefined) return;
    const sayFrom = (from: number): void => {
      const part = answer.slice(from, from + PORTION);
      at(heard_s + answer_time_s + (from + part.length) * character_s, () => {
        const isLast = from + part.length === answer.length;
        if (isLast) ended_s = now_s();
        events.bytes(part);
        if (!isLast) sayFrom(from + PORTION);
      });
    };
    sayFrom(0);
  };

  return {
    turnarounds_s,
    transport: {
      where: "a wire with true timing",
      open: async (events) =>
        ok({
          write: (request: Uint8Array) => {
            const asked_s = now_s();
            if (ended_s !== null) turnarounds_s.push(asked_s - ended_s);
            const heard_s = asked_s + request.length * character_s;
            at(heard_s, () => answerTo(request, heard_s, events));
          },
          discard: () => Promise.resolve(),
          close: () => Promise.resolve(),
        }),
    },
  };
};
