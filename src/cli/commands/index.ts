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
  { name: "resume", summary: "go on with a run that broke off", load: () => import("./resume.ts") },
  {
    name: "examine",
    summary: "run a test that explains a unit: steps, supply, leak, dead band, hold, mounting, line, lift-off",
    load: () => import("./examine.ts"),
  },
  {
    name: "diagnose",
    summary: "say what the records of a unit point to, as opinion",
    load: () => import("./diagnose.ts"),
  },
  {
    name: "history",
    summary: "drift of a unit from record to record, and its recalibration interval by each method",
    load: () => import("./history.ts"),
  },
  {
    name: "due",
    summary: "list what is overdue and due, units and references; also as CSV and iCalendar",
    load: () => import("./due.ts"),
  },
  {
    name: "simulate",
    summary: "serve a simulated bench for any Modbus or text client",
    load: () => import("./simulate.ts"),
  },
  { name: "certify", summary: "make the draft of a certificate from a record", load: () => import("./certify.ts") },
  { name: "draft", summary: "enter the draft of a certificate into the ledger", load: () => import("./draft.ts") },
  { name: "review", summary: "review a draft", load: () => import("./review.ts") },
  { name: "authorise", summary: "authorise a reviewed certificate", load: () => import("./authorise.ts") },
  { name: "issue", summary: "issue an authorised certificate, once and for ever", load: () => import("./issue.ts") },
  { name: "amend", summary: "draft an amendment or a replacement", load: () => import("./amend.ts") },
  { name: "withdraw", summary: "withdraw a certificate whose results are wrong", load: () => import("./withdraw.ts") },
  { name: "reprint", summary: "take out an issued certificate, byte for byte", load: () => import("./reprint.ts") },
  {
    name: "short-forms",
    summary: "write results as CSV and JSON, a one-page report and a label",
    load: () => import("./short-forms.ts"),
  },
  {
    name: "certificates",
    summary: "list certificates and what became of them",
    load: () => import("./certificates.ts"),
  },
  {
    name: "export",
    summary: "write records out as JSON Lines and CSV, with what proves them without this program",
    load: () => import("./export.ts"),
  },
  {
    name: "verify",
    summary: "say whether a certificate or records are whole, and what was done to them if not",
    load: () => import("./verify.ts"),
  },
  { name: "make-key", summary: "make a key to sign certificates with", load: () => import("./make-key.ts") },
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
  {
    name: "listen",
    summary: "print what an instrument says, raw and decoded; or check a profile against captured bytes",
    load: () => import("./listen.ts"),
  },
  {
    name: "replay",
    summary: "show what a settling rule thought of recorded readings",
    load: () => import("./replay.ts"),
  },
  { name: "ports", summary: "list the serial ports that are plugged in", load: () => import("./ports.ts") },
  {
    name: "find",
    summary: "find runs by unit, customer, date, verdict, text, or a reference that was used",
    load: () => import("./find.ts"),
  },
  { name: "show", summary: "show one run from the records", load: () => import("./show.ts") },
  { name: "compare", summary: "set two runs against each other, point by point", load: () => import("./compare.ts") },
  {
    name: "ship",
    summary: "send finished runs of this bench to the shared database",
    load: () => import("./ship.ts"),
  },
  {
    name: "prepare-database",
    summary: "make the shared database of several benches, or bring it to this version",
    load: () => import("./prepare-database.ts"),
  },
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
