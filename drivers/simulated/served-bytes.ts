import { LINE_LIMIT } from "../frames/line-text.ts";
import { type BankAt, mbapSlaveStream, rtuSlaveStream, type SlaveStream } from "../frames/slave-stream.ts";
import { broadcastBank, type WiredDevice, type WiredLines } from "./wired-device.ts";

/** The answering end of one wire as pure logic: bytes in, answers out. `silence` tells that the wire has been quiet. */
export type ServedBytes = SlaveStream;

const bankAt =
  (devices: ReadonlyMap<number, WiredDevice>): BankAt =>
  (unit) => {
    const device = devices.get(unit);
    return device?.hears() === true ? device.bank : null;
  };

export const rtuBytes = (devices: ReadonlyMap<number, WiredDevice>): ServedBytes =>
  rtuSlaveStream(bankAt(devices), [...devices.values()].map(broadcastBank));

export const tcpBytes = (devices: ReadonlyMap<number, WiredDevice>): ServedBytes => mbapSlaveStream(bankAt(devices));

/** Lines that end with LF, a CR before it is dropped; a line without end is forgotten once it is longer than any command. */
export const lineBytes = (instrument: WiredLines): ServedBytes => {
  let rest = "";
  return {
    broken: false,
    // A person types slowly: a half line waits for its end.
    silence: () => undefined,
    receive: (bytes) => {
      const lines = (rest + Buffer.from(bytes).toString("latin1")).split("\n");
      rest = lines.pop() ?? "";
      if (rest.length > LINE_LIMIT) rest = "";
      return lines.flatMap((line) => {
        const answer = instrument.receive(line.replace(/\r$/u, ""));
        return answer === null ? [] : [Buffer.from(`${answer}\n`, "latin1")];
      });
    },
  };
};
