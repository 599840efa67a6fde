import { type AnswerReceiver, foreignAnswer, joinBytes, lineError, MORE, type Received } from "./answer-receiver.ts";
import { FUNCTION, judgeAnswer } from "./pdu.ts";
import { decodeRtu, encodeRtu, type ModbusMessage, RTU_FRAME_LIMIT } from "./rtu-frame.ts";

/** Bytes that an unbiased two-wire line shows while drivers switch; neither can be the address of an answering unit. */
const isSwitchingNoise = (byte: number | undefined): boolean => byte === 0x00 || byte === 0xff;

/** Length the frame gives itself; `null` = more bytes are needed, `undefined` = its kind does not say. */
const claimedLength = (frame: Uint8Array): number | null | undefined => {
  const code = frame[1];
  if (code === undefined) return null;
  if ((code & 0x80) !== 0) return 5;
  switch (code) {
    case FUNCTION.readCoils:
    case FUNCTION.readDiscrete:
    case FUNCTION.readHolding:
    case FUNCTION.readInput:
    case FUNCTION.readWrite:
      return frame.length < 3 ? null : 5 + (frame[2] ?? 0);
    case FUNCTION.writeCoil:
    case FUNCTION.writeRegister:
    case FUNCTION.writeCoils:
    case FUNCTION.writeRegisters:
      return 8;
    case FUNCTION.maskWrite:
      return 10;
    default:
      return undefined;
  }
};

const startsWith = (bytes: Uint8Array, head: Uint8Array): boolean =>
  bytes.length >= head.length && head.every((byte, index) => byte === bytes[index]);

/**
 * Receives the RTU answer to one request. Frames are cut by their length, since a program behind a USB adapter cannot see
 * the gaps inside a frame. Stray 00 and FF before the answer are skipped and counted. The whole frame with its CRC is the
 * answer that is handed on.
 */
export const rtuReceiver = (request: ModbusMessage): AnswerReceiver => {
  const sent = encodeRtu(request);
  let buffer: Uint8Array = new Uint8Array(0);
  let noise = 0;

  const echoed = (): boolean => buffer.length >= 3 && (startsWith(buffer, sent) || startsWith(sent, buffer));

  const judge = (): Received => {
    while (buffer.length > 0 && isSwitchingNoise(buffer[0])) {
      buffer = buffer.subarray(1);
      noise += 1;
    }
    if (buffer.length > RTU_FRAME_LIMIT) return lineError("more bytes came than any answer has");
    const length = claimedLength(buffer);
    if (length === null) return MORE;
    const frame = buffer.subarray(0, length ?? buffer.length);
    if (length === undefined || frame.length < length) return MORE;
    const decoded = decodeRtu(frame);
    if (decoded.kind !== "message") {
      return buffer[0] === request.unit && buffer[1] === request.pdu[0] && startsWith(buffer, sent)
        ? lineError("the line repeats what is sent on it; the adapter hears itself")
        : lineError("the checksum is wrong");
    }
    const { unit, pdu } = decoded.message;
    if (unit !== request.unit) return foreignAnswer(`unit ${unit} answered, unit ${request.unit} was asked`);
    const judged = judgeAnswer(request.pdu, pdu);
    if (judged.kind === "foreign") return foreignAnswer(judged.reason);
    return { kind: "answer", bytes: frame.slice(), stray: noise + buffer.length - frame.length };
  };

  return {
    take: (bytes) => {
      buffer = joinBytes(buffer, bytes);
      return judge();
    },
    atDeadline: () => {
      if (buffer.length === 0) return noise > 0 ? lineError(`only ${noise} stray bytes came`) : null;
      if (echoed()) return lineError("the line repeats what is sent on it; the adapter hears itself");
      const whole = decodeRtu(buffer);
      if (whole.kind === "message") return foreignAnswer(`function ${whole.message.pdu[0] ?? 0} was answered`);
      const length = claimedLength(buffer);
      return typeof length === "number" && buffer[0] === request.unit
        ? lineError(`the answer is incomplete, ${buffer.length} of ${length} bytes came`)
        : lineError(`${buffer.length} bytes came that are no answer`);
    },
  };
};
