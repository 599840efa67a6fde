import { type AnswerReceiver, foreignAnswer, joinBytes, lineError, MORE, type Received } from "./answer-receiver.ts";
import { type TcpMessage, takeMbap } from "./mbap-frame.ts";
import { judgeAnswer } from "./pdu.ts";
import { encodeRtu } from "./rtu-frame.ts";

/**
 * Receives the Modbus TCP answer to one request. A well-formed answer to another transaction is dropped and counted; a
 * stream that has lost step is trouble at once. The answer is handed on as an RTU frame (unit, PDU, CRC made here), so
 * that one parser serves both transports.
 */
export const mbapReceiver = (request: TcpMessage): AnswerReceiver => {
  let buffer: Uint8Array = new Uint8Array(0);
  let dropped = 0;

  const judge = (): Received => {
    for (;;) {
      const taken = takeMbap(buffer);
      if (taken.kind === "more") return MORE;
      if (taken.kind === "broken") return lineError(`the stream has lost step at ${taken.reason}`);
      buffer = buffer.subarray(taken.length);
      const { transaction, unit, pdu } = taken.message;
      if (transaction !== request.transaction) {
        dropped += taken.length;
        continue;
      }
      if (unit !== request.unit) return foreignAnswer(`unit ${unit} answered, unit ${request.unit} was asked`);
      const judged = judgeAnswer(request.pdu, pdu);
      if (judged.kind === "foreign") return foreignAnswer(judged.reason);
      return { kind: "answer", bytes: encodeRtu({ unit, pdu }), stray: dropped + buffer.length };
    }
  };

  return {
    take: (bytes) => {
      buffer = joinBytes(buffer, bytes);
      return judge();
    },
    atDeadline: () => {
      if (buffer.length > 0) return lineError(`the answer is incomplete, ${buffer.length} bytes came`);
      return dropped > 0 ? foreignAnswer("only answers to other requests came") : null;
    },
  };
};
