import { type Fault, fault } from "../../src/vocabulary/fault.ts";

/** Faults of the wire in the words a technician can act on. `who` = instrument and its place, `line` = name and port. */

const seconds = (value_s: number): string => (value_s < 1 ? `${Math.round(value_s * 1000)} ms` : `${value_s} s`);

export const silence = (who: string, deadline_s: number): Fault =>
  fault("communication", "silence", `${who} did not answer within ${seconds(deadline_s)}.`, {
    means: "There is no value.",
    remedy: "Check that it is switched on, its cable, its address, and speed and parity of the line.",
  });

export const damaged = (who: string, reason: string): Fault =>
  fault("communication", "line-error", `The answer of ${who} cannot be used: ${reason}.`, {
    means: "It was thrown away.",
    remedy: "Check cable, screen, termination and bias of the line, and its speed and parity.",
  });

export const foreign = (who: string, reason: string): Fault =>
  fault("communication", "foreign-answer", `Not the answer of ${who} came, but another one: ${reason}.`, {
    means: "It was thrown away.",
    remedy: "Check that no two instruments share an address and that no other program uses the line.",
  });

export const lost = (who: string, line: string, reason: string): Fault =>
  fault("communication", "line-lost", `The line ${line} was lost while ${who} was asked: ${reason}.`, {
    means: "There is no value, and a point in progress does not count.",
    remedy: "Plug the adapter or cable in again; the line is opened again by itself.",
  });

export const down = (who: string, line: string, reason: string): Fault =>
  fault("communication", "line-lost", `${who} cannot be asked: the line ${line} is down (${reason}).`, {
    remedy: "Plug the adapter or cable in again; the line is opened again by itself.",
  });

export const closed = (who: string): Fault =>
  fault("communication", "line-closed", `The line was closed while ${who} was asked.`, {
    means: "There is no value.",
  });

export const cannotOpen = (line: string, reason: string, remedy: string | undefined): Fault =>
  fault("communication", "cannot-open", `The line ${line} cannot be opened: ${reason}.`, {
    means: "No instrument on it can be reached.",
    remedy: remedy ?? "Check that the adapter is plugged in and that no other program holds the port.",
  });

export const neverQuiet = (who: string, line: string): Fault =>
  fault("communication", "line-error", `${who} was not asked: the line ${line} never falls quiet.`, {
    means: "Answers could not be told apart.",
    remedy: "Look for an instrument that sends by itself, a second master, or a line without bias.",
  });

export const noTurn = (who: string, line: string, waited_s: number): Fault =>
  fault(
    "communication",
    "silence",
    `${who} was not asked: its turn on the line ${line} did not come in ${seconds(waited_s)}.`,
    {
      remedy: "Find the instrument on this line that does not answer, or give each its own line.",
    },
  );

/** Exception codes that say nothing about the request itself. Source: Modbus Application Protocol V1.1b3, 7. */
const STILL_WORKING = [5, 6];
const GATEWAY_SILENT = [10, 11];

/** What an exception answer means: busy, not reached behind a gateway, or refused. */
export const refused = (who: string, code: number, words: string): Fault => {
  if (GATEWAY_SILENT.includes(code)) {
    return fault(
      "communication",
      "silence",
      `${who} did not answer; so says the gateway: ${words} (exception ${code}).`,
      {
        means: "There is no value.",
        remedy: "Check that the instrument behind the gateway is switched on, its cable and its address.",
      },
    );
  }
  if (STILL_WORKING.includes(code)) {
    return fault("device", "device-busy", `${who} is busy: ${words} (exception ${code}).`, {
      means: "There is no value yet.",
      remedy: "Ask again after a pause.",
    });
  }
  return fault("device", "device-refused", `${who} refused: ${words} (exception ${code}).`, {
    remedy: "Check that the profile belongs to this instrument and that it is not locked.",
  });
};
