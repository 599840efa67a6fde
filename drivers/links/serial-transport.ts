import { read } from "node:fs";
import { promisify } from "node:util";
import { SerialPort } from "serialport";
import { err, ok } from "../../src/vocabulary/result.ts";
import { findPort } from "./port-list.ts";
import type { Pipe, PipeEvents, Transport } from "./transport.ts";

export interface SerialSettings {
  /** Path or name of a port, a pattern with `*` and `?`, or `adapter:SERIAL`. Resolved anew at each opening. */
  readonly port: string;
  readonly baud: number;
  readonly parity: "none" | "even" | "odd";
  readonly data_bits: 7 | 8;
  readonly stop_bits: 1 | 2;
}

type Binding = typeof SerialPort.binding;
type OpenPort = Awaited<ReturnType<Binding["open"]>>;

const readBytes = promisify(read);

const codeOf = (trouble: unknown): string =>
  trouble instanceof Error && "code" in trouble && typeof trouble.code === "string" ? trouble.code : "";

const gone = (message: string, more: object): Error => Object.assign(new Error(message), more);

/**
 * A read that notices a hung-up line. A hung-up line reads as zero bytes at once, for ever; the binding takes that for
 * "try again" and turns in a circle with the processor, without telling anyone that the adapter is gone.
 * Known: https://github.com/serialport/bindings-cpp/issues/162. It reads through the port's own descriptor and poller, so
 * the version of serialport is pinned.
 */
const readNoticingHangUp = (port: Extract<OpenPort, { poller: unknown }>) => {
  const readable = (): Promise<void> =>
    new Promise((resolve, reject) => {
      port.poller.once("readable", (trouble) => (trouble ? reject(trouble) : resolve()));
    });
  return async (buffer: Buffer, offset: number, length: number): Promise<{ buffer: Buffer; bytesRead: number }> => {
    for (;;) {
      if (!port.isOpen || port.fd === null) throw gone("the port is not open", { canceled: true });
      try {
        const { bytesRead } = await readBytes(port.fd, buffer, offset, length, null);
        if (bytesRead === 0) throw gone("the line was hung up", { disconnect: true });
        return { buffer, bytesRead };
      } catch (trouble) {
        const code = codeOf(trouble);
        if (code !== "EAGAIN" && code !== "EWOULDBLOCK" && code !== "EINTR") throw trouble;
        // Closed while the read was under way: the poller is gone, and touching it ends the process.
        if (port.isOpen) await readable();
      }
    }
  };
};

/** The system's binding with the read above. Windows waits for bytes in another way and needs no cure. */
const watchfulBinding: Binding =
  process.platform === "win32"
    ? SerialPort.binding
    : ({
        list: () => SerialPort.binding.list(),
        // The options pass through untouched; the union of the systems' bindings has no type that all of them take.
        open: async (options: never) => {
          const port = await SerialPort.binding.open(options);
          if ("poller" in port) port.read = readNoticingHangUp(port);
          return port;
        },
      } as Binding);

const settled = (call: (done: () => void) => void): Promise<void> =>
  new Promise((resolve) => {
    call(() => resolve());
  });

const pipeOver = (port: SerialPort): Pipe => {
  let closing: Promise<void> | null = null;
  return {
    write: (bytes) => {
      if (port.isOpen) port.write(Buffer.from(bytes), () => undefined);
    },
    discard: async () => {
      if (!port.isOpen) return;
      await settled((done) => port.flush(done));
      // One turn of the event loop lets what was read already reach the listener, where it counts as stray.
      await settled((done) => setImmediate(done));
    },
    close: () => {
      closing ??= settled((done) => (port.isOpen ? port.close(done) : done()));
      return closing;
    },
  };
};

const parityLetter = { none: "N", even: "E", odd: "O" } as const;

/** Serial port through the serialport package. Errors after the end are heard and dropped, or they would end the process. */
export const serialTransport = (settings: SerialSettings): Transport => {
  const { port: wanted, baud, parity, data_bits, stop_bits } = settings;
  return {
    where: `${wanted}, ${baud} bit/s ${data_bits}${parityLetter[parity]}${stop_bits}`,
    open: async (events: PipeEvents) => {
      const found = await findPort(wanted);
      if (!found.ok) return err({ reason: found.fault.reason, remedy: found.fault.remedy });
      return new Promise((resolve) => {
        const port = new SerialPort({
          path: found.value,
          baudRate: baud,
          parity,
          dataBits: data_bits,
          stopBits: stop_bits,
          autoOpen: false,
          binding: watchfulBinding,
        } as ConstructorParameters<typeof SerialPort>[0]);
        let told = false;
        const tell = (reason: string): void => {
          if (told) return;
          told = true;
          events.closed(reason);
        };
        port.on("data", (bytes: Buffer) => events.bytes(bytes));
        port.on("error", (trouble: Error) => tell(trouble.message));
        port.on("close", (trouble: Error | null) => tell(trouble?.message ?? "the port closed"));
        port.open((trouble) => {
          if (trouble === null) {
            resolve(ok(pipeOver(port)));
            return;
          }
          told = true;
          resolve(err({ reason: trouble.message.replace(/^Error: /u, "") }));
        });
      });
    },
  };
};
