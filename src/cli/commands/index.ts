import type { Command } from "commander";
import type { Streams } from "../streams.ts";

export interface CommandModule {
  /** Adds options and the action; `finish` takes the exit code. */
  define(command: Command, streams: Streams, finish: (code: number) => void): void;
}

export interface CommandEntry {
  readonly name: string;
  readonly summary: string;
  readonly load: () => Promise<CommandModule>;
}

/** One line a command; the module is loaded only when its command is called. */
export const COMMANDS: readonly CommandEntry[] = [
  { name: "demo", summary: "run the whole job on the simulated bench", load: () => import("./demo.ts") },
  { name: "plan", summary: "print the steps of a run; nothing is opened", load: () => import("./plan.ts") },
  {
    name: "calibrate",
    summary: "calibrate a unit: preflight, as found, adjust, as left, certificate",
    load: () => import("./calibrate.ts"),
  },
  {
    name: "simulate",
    summary: "serve a simulated bench for any Modbus or text client",
    load: () => import("./simulate.ts"),
  },
  { name: "certify", summary: "make the certificate of a record", load: () => import("./certify.ts") },
  { name: "check", summary: "check bench, unit, laboratory and profile files", load: () => import("./check.ts") },
  { name: "analyse", summary: "work out readings that were taken elsewhere", load: () => import("./analyse.ts") },
  {
    name: "budget",
    summary: "an uncertainty budget by GUM and by Monte Carlo, side by side",
    load: () => import("./budget.ts"),
  },
  { name: "convert", summary: "convert pressures and loop currents", load: () => import("./convert.ts") },
  { name: "decide", summary: "pass or fail of values, with their risks", load: () => import("./decide.ts") },
  {
    name: "drivers",
    summary: "list the drivers and profiles that a bench file may name",
    load: () => import("./drivers.ts"),
  },
  { name: "ports", summary: "list the serial ports that are plugged in", load: () => import("./ports.ts") },
  {
    name: "self-test",
    summary: "work out published cases and compare, to validate this installation",
    load: () => import("./self-test.ts"),
  },
  {
    name: "safe",
    summary: "drive the source of a bench to a safe current and read it back",
    load: () => import("./safe.ts"),
  },
];
