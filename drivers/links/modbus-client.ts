import { EventEmitter } from "node:events";
import modbusSerial from "modbus-serial";
import { exceptionWords } from "../frames/pdu.ts";

/**
 * modbus-serial on a port object of our own: the library composes requests and parses answers, and never sees a byte that
 * is not a whole, checked answer to the request before it. Its own ports hand a late answer to the next request, leave
 * promises open when a line goes, and keep no silence; the lane does all that instead. No time-out is set here, since
 * the lane has the deadlines; nothing in this file waits.
 */
export type RegisterQuestion =
  | {
      readonly kind: "read-registers";
      readonly table: "holding" | "input";
      readonly address: number;
      readonly count: number;
    }
  | {
      readonly kind: "read-bits";
      readonly table: "coil" | "discrete";
      readonly address: number;
      readonly count: number;
    }
  | { readonly kind: "write-registers"; readonly address: number; readonly values: readonly number[] }
  | { readonly kind: "write-coil"; readonly address: number; readonly on: boolean };

export type Parsed =
  | { readonly kind: "values"; readonly values: readonly (number | boolean)[] }
  | { readonly kind: "refused"; readonly code: number; readonly words: string }
  | { readonly kind: "unreadable"; readonly reason: string };

class FramePort extends EventEmitter {
  readonly isOpen = true;
  sent: Uint8Array | null = null;

  open(done: (error: Error | null) => void): void {
    done(null);
  }

  close(done?: () => void): void {
    done?.();
  }

  write(frame: Uint8Array): void {
    this.sent = frame;
  }
}

/** What the library's callbacks hand over: values of a read have `data`, what a write repeats has none. */
type Done = (error: (Error & { readonly modbusCode?: number }) | null, answer?: object) => void;

const valuesIn = (answer: object | undefined): readonly (number | boolean)[] =>
  answer !== undefined && "data" in answer && Array.isArray(answer.data) ? answer.data : [];

const ask = (
  client: InstanceType<typeof modbusSerial.default>,
  unit: number,
  q: RegisterQuestion,
  done: Done,
): void => {
  switch (q.kind) {
    case "read-registers":
      if (q.table === "holding") client.writeFC3(unit, q.address, q.count, done);
      else client.writeFC4(unit, q.address, q.count, done);
      return;
    case "read-bits":
      if (q.table === "coil") client.writeFC1(unit, q.address, q.count, done);
      else client.writeFC2(unit, q.address, q.count, done);
      return;
    case "write-registers":
      client.writeFC16(unit, q.address, [...q.values], done);
      return;
    case "write-coil":
      client.writeFC5(unit, q.address, q.on, done);
      return;
  }
};

export interface Composed {
  /** The request as an RTU frame with its CRC. */
  readonly frame: Uint8Array;
  /** Parses the whole RTU frame of the answer. */
  parse(answer: Uint8Array): Parsed;
}

/** One client of the library on a port of its own. */
const makeClient = () => {
  const port = new FramePort();
  const client = new modbusSerial.default(port);
  client.on("error", () => undefined);
  client.open(() => undefined);
  return { port, client };
};

/**
 * Composes requests with clients that are lent to one request at a time. A client goes back into the store only when it has
 * parsed the answer to the very request it was lent for; after silence, a broken or a foreign answer, or a question that was
 * called off, it is never used again, so no state of a request that went wrong can reach a later one.
 */
export const requestComposer = (): ((unit: number, question: RegisterQuestion) => Composed) => {
  const idle: ReturnType<typeof makeClient>[] = [];
  return (unit, question) => {
    const lent = idle.pop() ?? makeClient();
    const { port, client } = lent;
    let outcome: Parsed | null = null;
    port.sent = null;
    ask(client, unit, question, (error, answer) => {
      if (error?.modbusCode !== undefined) {
        outcome = { kind: "refused", code: error.modbusCode, words: exceptionWords(error.modbusCode) };
      } else if (error !== null && error !== undefined) {
        outcome = { kind: "unreadable", reason: error.message };
      } else {
        const values = valuesIn(answer);
        // Bits arrive in whole bytes; the spare ones at the end are none of ours.
        outcome = { kind: "values", values: question.kind === "read-bits" ? values.slice(0, question.count) : values };
      }
    });
    const frame = port.sent;
    if (frame === null) throw new Error("the Modbus library composed no request");
    let spent = false;
    return {
      frame,
      parse: (bytes) => {
        if (spent) throw new Error("an answer is parsed once");
        spent = true;
        port.emit("data", Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength));
        const parsed: Parsed = outcome ?? { kind: "unreadable", reason: "the answer is not one to this request" };
        if (parsed.kind !== "unreadable") idle.push(lent);
        return parsed;
      },
    };
  };
};
