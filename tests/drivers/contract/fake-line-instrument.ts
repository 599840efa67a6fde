import type { LineProfile } from "../../../drivers/profiles/line-profile.schema.ts";
import type { Timers } from "../../../src/ports/timers.ts";
import { inProcessWire } from "../in-process-wire.ts";
import type { FakeInstrument } from "./fake-instrument.ts";

const bytesOf = (text: string): Uint8Array => Uint8Array.from([...text].map((character) => character.charCodeAt(0)));

/** An instrument that speaks lines, as bytes, after the queries of a profile. */
export const fakeLineInstrument = (profile: LineProfile, timers: Timers): FakeInstrument => {
  const wire = inProcessWire();
  const numbers = new Map<string, number>();
  const shown = new Map<string, string>();
  const identity = { maker: "", model: "", serial_number: "" };
  let complaint: string | null = null;
  let heard = "";
  let writes = 0;
  let requests = 0;

  const fake: FakeInstrument = {
    transport: wire.transport,
    manner: "good",
    exception: 4,
    late_s: 0,
    silentAfter: null,
    obeys: true,
    counting: true,
    put: (name, value) => numbers.set(name, value),
    get: (name) => numbers.get(name) ?? 0,
    putText: (part, text) => {
      identity[part] = text;
    },
    putSetting: (name, shows) => shown.set(name, String(shows)),
    putStatus: () => undefined,
    get writes() {
      return writes;
    },
    get requests() {
      return requests;
    },
    pullOut: () => wire.pullOut(),
    plugIn: () => wire.plugIn(),
  };

  /** SCPI's not-a-number stands for NaN. */
  const numberText = (value: number): string => (Number.isNaN(value) ? "9.91E+37" : value.toFixed(6));

  /** The value that a name is set to or reads; what is commanded is one value under both names. */
  const numberOf = (name: string): number => numbers.get(name === "commanded" ? "current" : name) ?? 0;

  const answerTo = (line: string): string | null => {
    if (line === profile.identity.ask) return `${identity.maker},${identity.model},${identity.serial_number},1.0`;
    for (const [name, setting] of Object.entries(profile.settings)) {
      if (line === setting.ask) return shown.get(name) ?? "";
    }
    if (profile.errors !== undefined && line === profile.errors.ask) {
      const said = complaint ?? '0,"No error"';
      complaint = null;
      return said;
    }
    for (const [name, command] of Object.entries(profile.commands)) {
      if (line === command.confirm) return numberText(numberOf(name));
    }
    for (const [name, reading] of Object.entries(profile.readings)) {
      if (line === reading.ask) return numberText(numberOf(name));
    }
    for (const [name, command] of Object.entries(profile.commands)) {
      const [head = ""] = command.send.split("{value}");
      if (!line.startsWith(head)) continue;
      writes += 1;
      if (fake.manner === "refuses") complaint = '-222,"Data out of range"';
      else if (fake.obeys) numbers.set(name, Number(line.slice(head.length)));
      return null;
    }
    complaint = '-113,"Undefined header"';
    return null;
  };

  wire.device = (bytes) => {
    heard += String.fromCharCode(...bytes);
    const lines = heard.split(profile.line.ends_with);
    heard = lines.pop() ?? "";
    for (const line of lines) {
      requests += 1;
      if (fake.manner === "silent") continue;
      const answer = answerTo(line);
      if (fake.silentAfter !== null) {
        fake.silentAfter -= 1;
        if (fake.silentAfter <= 0) {
          fake.silentAfter = null;
          continue;
        }
      }
      if (answer === null) continue;
      const said = fake.manner === "garbage" ? "\u0001\u0002#!" : answer;
      timers.after(fake.manner === "late" ? fake.late_s : 0.001, () =>
        wire.say(bytesOf(said + profile.line.ends_with)),
      );
    }
  };

  return fake;
};
