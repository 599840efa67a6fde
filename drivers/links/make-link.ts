import type { Arrival, LinePlace, LineStation, Link, RegisterPlace, RegisterStation } from "../../src/ports/link.ts";
import type { Fault } from "../../src/vocabulary/fault.ts";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";
import { decodeLine, encodeLine, lineReceiver } from "../frames/line-text.ts";
import { encodeMbap } from "../frames/mbap-frame.ts";
import { mbapReceiver } from "../frames/mbap-receiver.ts";
import { answerPduLength, LIMITS } from "../frames/pdu.ts";
import { rtuReceiver } from "../frames/rtu-receiver.ts";
import { Lane, type LaneSettings } from "./lane.ts";
import { closed, damaged, refused } from "./link-faults.ts";
import { type RegisterQuestion, requestComposer } from "./modbus-client.ts";
import type { Transport } from "./transport.ts";

/** How register requests are framed on the wire. */
export type Framing = "rtu" | "mbap";

/** About as many characters as an answer in text has, for its deadline. */
const LINE_AWAITED = 64;

const checkCount = (count: number, limit: number): void => {
  if (!Number.isInteger(count) || count < 1 || count > limit) {
    throw new RangeError(`a request for ${count} values; 1 to ${limit} are possible`);
  }
};

/** A link over any transport: one lane, and a station for each instrument on it. */
export const makeLink = (settings: LaneSettings, transport: Transport, framing: Framing): Link => {
  const lane = new Lane(settings, transport);
  const composeRequest = requestComposer();
  let transaction = 0;
  let refusals = 0;

  const registers = (place: RegisterPlace): RegisterStation => {
    const { instrument, unit } = place;
    const [lowest, highest] = framing === "rtu" ? [1, 247] : [0, 255];
    if (!Number.isInteger(unit) || unit < lowest || unit > highest) {
      throw new RangeError(`unit address ${unit} of ${instrument}; only ${lowest} to ${highest} can answer here`);
    }
    const who = `${instrument} (unit ${unit} on ${settings.name})`;
    let released = false;

    const exchange = async (
      question: RegisterQuestion,
    ): Promise<Result<Arrival & { readonly values: readonly (number | boolean)[] }, Fault>> => {
      if (released) return err(closed(who));
      const composed = composeRequest(unit, question);
      const pdu = composed.frame.slice(1, -2);
      transaction = (transaction + 1) & 0xffff;
      const message = { unit, pdu, transaction };
      const answer = await lane.request({
        owner: place,
        who,
        bytes: framing === "rtu" ? composed.frame : encodeMbap(message),
        receiver: framing === "rtu" ? rtuReceiver(message) : mbapReceiver(message),
        awaited: (answerPduLength(pdu) ?? LIMITS.pdu) + 3,
      });
      if (!answer.ok) return answer;
      const parsed = composed.parse(answer.value.bytes);
      if (parsed.kind === "values") {
        const { at_s, raw, generation } = answer.value;
        return ok({ at_s, raw, generation, values: parsed.values });
      }
      if (parsed.kind === "unreadable") return err(damaged(who, parsed.reason));
      refusals += 1;
      return err(refused(who, parsed.code, parsed.words));
    };

    return {
      get generation() {
        return lane.generation;
      },
      readRegisters: async (table, address, count) => {
        checkCount(count, LIMITS.readRegisters);
        const answer = await exchange({ kind: "read-registers", table, address, count });
        if (!answer.ok) return answer;
        const { at_s, raw, generation, values } = answer.value;
        return ok({ at_s, raw, generation, registers: values.map(Number) });
      },
      readBits: async (table, address, count) => {
        checkCount(count, LIMITS.readBits);
        const answer = await exchange({ kind: "read-bits", table, address, count });
        if (!answer.ok) return answer;
        const { at_s, raw, generation, values } = answer.value;
        return ok({ at_s, raw, generation, bits: values.map(Boolean) });
      },
      writeRegisters: async (address, values) => {
        checkCount(values.length, LIMITS.writeRegisters);
        return exchange({ kind: "write-registers", address, values });
      },
      writeCoil: (address, on) => exchange({ kind: "write-coil", address, on }),
      close: () => {
        released = true;
        lane.release(place);
      },
    };
  };

  const lines = (place: LinePlace): LineStation => {
    const who = `${place.instrument} (on ${settings.name})`;
    let released = false;

    const exchange = async (
      text: string,
      answered: boolean,
    ): Promise<Result<Arrival & { readonly text: string }, Fault>> => {
      if (released) return err(closed(who));
      const bytes = encodeLine(text, place);
      if (bytes === null) throw new RangeError(`"${text}" holds a character that ${place.encoding} does not have`);
      const answer = await lane.request({
        owner: place,
        who,
        bytes,
        receiver: answered ? lineReceiver(place) : null,
        awaited: answered ? LINE_AWAITED : 0,
      });
      if (!answer.ok) return answer;
      const { at_s, raw, generation, bytes: said } = answer.value;
      return ok({ at_s, raw, generation, text: decodeLine(said) });
    };

    return {
      get generation() {
        return lane.generation;
      },
      ask: (text) => exchange(text, true),
      send: (text) => exchange(text, false),
      close: () => {
        released = true;
        lane.release(place);
      },
    };
  };

  return {
    name: settings.name,
    open: () => lane.open(),
    registers,
    lines,
    counts: () => ({ ...lane.counts(), refusals }),
    close: () => lane.close(),
  };
};
