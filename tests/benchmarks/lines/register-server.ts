import { createServer } from "node:net";
import type { RegisterBank } from "../../../drivers/frames/register-slave.ts";
import { mbapSlaveStream } from "../../../drivers/frames/slave-stream.ts";

/**
 * A gauge after `reference-gauge-registers` for any number of clients, in a process of its own: a new measurement at each
 * question, so that nobody waits for one. Prints its port.
 */
const words = (text: string): readonly number[] =>
  Array.from({ length: 16 }, (_, i) => (text.charCodeAt(2 * i) || 0) * 256 + (text.charCodeAt(2 * i + 1) || 0));

const holding = Uint16Array.from([...words("SIMULATED"), ...words("benchmark gauge"), ...words("BENCH-1"), 1, 0, 0, 0]);
const input = new Uint16Array(8);

const bank: RegisterBank = {
  readHolding: (address, count) => (address + count > holding.length ? null : holding.slice(address, address + count)),
  readInput: (address, count) => {
    input[3] = ((input[3] ?? 0) + 1) & 0xffff;
    return address + count > input.length ? null : input.slice(address, address + count);
  },
  readCoils: () => null,
  writeHolding: () => false,
  writeCoils: () => false,
};

const server = createServer((socket) => {
  const slave = mbapSlaveStream(() => bank);
  socket.setNoDelay(true);
  socket.on("data", (bytes) => {
    for (const answer of slave.receive(bytes)) socket.write(answer);
  });
  socket.on("error", () => socket.destroy());
});

server.listen(0, "127.0.0.1", () => {
  const address = server.address();
  process.stdout.write(`${address === null || typeof address === "string" ? 0 : address.port}\n`);
});
