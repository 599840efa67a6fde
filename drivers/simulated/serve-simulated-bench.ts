import { createServer, type Server, type Socket } from "node:net";
import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";
import { openPseudoTerminal } from "../links/pseudo-terminal.ts";
import type { DeviceName } from "./bench-settings.ts";
import { lineBytes, rtuBytes, type ServedBytes, tcpBytes } from "./served-bytes.ts";
import type { SimulatedBench } from "./simulated-bench.ts";
import { wireLines, wireRegisters } from "./wired-device.ts";

/** A simulated instrument that answers registers at a unit address. */
export interface ServedUnit {
  readonly address: number;
  readonly device: DeviceName;
  /** Another bench than the one being served, for several stations on one line. */
  readonly bench?: SimulatedBench;
}

/** What hangs on a wire: several units that speak Modbus, or one instrument that speaks lines of text. */
export type Wire = { readonly name: string } & (
  | { readonly units: readonly ServedUnit[] }
  | { readonly text: "gauge" | "source"; readonly bench?: SimulatedBench }
);

export interface ServeOptions {
  readonly bench: SimulatedBench;
  /** Wires that are serial lines: each gets a pseudo-terminal; Modbus units speak RTU there. */
  readonly lines?: readonly Wire[];
  /** Wires that are TCP ports of this machine, address 127.0.0.1; Modbus units speak Modbus TCP. `port` 0 = any free one. */
  readonly tcp?: readonly (Wire & { readonly port?: number })[];
  /** Simulated seconds per second; 1 if left out. Fallback and every time constant run on simulated time. */
  readonly factor?: number;
  /** Seconds of a clock that never goes back. */
  readonly now: () => number;
}

export type ServedEndpoint =
  | { readonly kind: "serial"; readonly path: string }
  | { readonly kind: "tcp"; readonly host: string; readonly port: number };

export interface ServedBench {
  /** By name of the wire. */
  readonly endpoints: ReadonlyMap<string, ServedEndpoint>;
  /** Simulated seconds since serving began. */
  time_s(): number;
  /** Pulls a plug: the pseudo-terminal hangs up, or the TCP port closes with all its connections. */
  unplug(name: string): void;
  /**
   * Plugs a serial line in again, as a rule under another path; `endpoints` tells it. Another wire of the same name may be
   * given, with other instruments on it.
   */
  replug(name: string, wire?: Wire): Result<ServedEndpoint, Fault>;
  close(): Promise<void>;
}

const LOOPBACK = "127.0.0.1";
/** Quiet time after which half a frame will never be whole. A pseudo-terminal has no baud rate, so 3.5 characters mean nothing. */
const SILENCE_MS = 30;
/** The bench is brought up to date this often even if nobody asks, so that no question has to wait for a long catch-up. */
const KEEP_UP_MS = 250;

/**
 * Serves simulated instruments over real bytes until `close`; `cannot-open` when a pseudo-terminal or a port is not to be
 * had. The open wires keep a process alive.
 */
export const serveSimulatedBench = async (options: ServeOptions): Promise<Result<ServedBench, Fault>> => {
  const factor = options.factor ?? 1;
  const start_s = options.now();
  const time_s = (): number => (options.now() - start_s) * factor;
  const benches = new Set<SimulatedBench>([options.bench]);
  const endpoints = new Map<string, ServedEndpoint>();
  const plugs = new Map<string, () => void>();
  let upTo_s = 0;
  /** A bench may have been run on before or meanwhile by someone else, so each goes on by what has passed. */
  const catchUp = (): void => {
    const passed_s = time_s() - upTo_s;
    upTo_s += passed_s;
    for (const bench of benches) bench.advanceBy(passed_s);
  };

  /** Makes one answering end for each connection; the instruments behind it are the same. */
  const answererOf = (wire: Wire, modbus: typeof rtuBytes): (() => ServedBytes) => {
    if ("text" in wire) {
      const bench = wire.bench ?? options.bench;
      benches.add(bench);
      const instrument = wireLines(bench, wire.text);
      return () => lineBytes(instrument);
    }
    const devices = new Map(
      wire.units.map((unit) => {
        const bench = unit.bench ?? options.bench;
        benches.add(bench);
        return [unit.address, wireRegisters(bench, unit.device, factor)] as const;
      }),
    );
    return () => modbus(devices);
  };

  /** Feeds bytes to an answering end, with the quiet time watched; tells false when the peer has lost step. */
  const feeder = (answerer: ServedBytes, write: (bytes: Uint8Array) => void) => {
    let quiet: NodeJS.Timeout | undefined;
    return {
      take: (bytes: Uint8Array): boolean => {
        clearTimeout(quiet);
        catchUp();
        for (const answer of answerer.receive(bytes)) write(answer);
        quiet = setTimeout(() => answerer.silence(), SILENCE_MS);
        quiet.unref();
        return !answerer.broken;
      },
      stop: () => clearTimeout(quiet),
    };
  };

  const servers: Server[] = [];

  const openLine = (wire: Wire): Result<null, Fault> => {
    const opened = openPseudoTerminal();
    if (!opened.ok) return opened;
    const terminal = opened.value;
    const feed = feeder(answererOf(wire, rtuBytes)(), terminal.write);
    terminal.onBytes((bytes) => void feed.take(bytes));
    endpoints.set(wire.name, { kind: "serial", path: terminal.path });
    plugs.set(wire.name, () => {
      feed.stop();
      terminal.close();
    });
    return ok(null);
  };

  const openTcp = async (wire: Wire & { readonly port?: number }): Promise<Result<null, Fault>> => {
    const answerer = answererOf(wire, tcpBytes);
    const sockets = new Set<Socket>();
    const server = createServer((socket) => {
      sockets.add(socket);
      socket.setNoDelay(true);
      const feed = feeder(answerer(), (bytes) => void socket.write(bytes));
      socket.on("data", (bytes) => {
        if (!feed.take(bytes)) socket.destroy();
      });
      // A peer that goes away in the middle of a frame is everyday life for a server.
      socket.on("error", () => socket.destroy());
      socket.on("close", () => {
        feed.stop();
        sockets.delete(socket);
      });
    });
    servers.push(server);
    plugs.set(wire.name, () => {
      server.close();
      for (const socket of sockets) socket.destroy();
    });
    const trouble = await new Promise<Error | null>((resolve) => {
      server.once("error", resolve);
      server.listen(wire.port ?? 0, LOOPBACK, () => resolve(null));
    });
    const address = server.address();
    if (trouble !== null || address === null || typeof address === "string") {
      const reason = trouble === null ? "it got no port" : trouble.message;
      return err(fault("refused", "cannot-open", `The simulated wire ${wire.name} could not be opened: ${reason}.`));
    }
    endpoints.set(wire.name, { kind: "tcp", host: LOOPBACK, port: address.port });
    return ok(null);
  };

  const keepUp = setInterval(catchUp, KEEP_UP_MS);
  keepUp.unref();

  const close = async (): Promise<void> => {
    clearInterval(keepUp);
    const closing = servers
      .filter((server) => server.listening)
      .map((server) => new Promise<void>((done) => server.once("close", done)));
    for (const pull of plugs.values()) pull();
    await Promise.all(closing);
  };

  for (const wire of options.lines ?? []) {
    const opened = openLine(wire);
    if (!opened.ok) return close().then(() => opened);
  }
  for (const wire of options.tcp ?? []) {
    const opened = await openTcp(wire);
    if (!opened.ok) return close().then(() => opened);
  }
  const replug = (name: string, other?: Wire): Result<ServedEndpoint, Fault> => {
    const wire = other ?? options.lines?.find((line) => line.name === name);
    if (wire === undefined) throw new Error(`no serial line ${name}`);
    plugs.get(name)?.();
    const opened = openLine(wire);
    const endpoint = endpoints.get(name);
    if (!opened.ok) return opened;
    if (endpoint === undefined) throw new Error(`the line ${name} has no end`);
    return ok(endpoint);
  };

  return ok({ endpoints, time_s, unplug: (name) => plugs.get(name)?.(), replug, close });
};
