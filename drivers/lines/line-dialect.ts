import type { Arrival, LineStation } from "../../src/ports/link.ts";
import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";
import type { Dialect, Said, SaidSetting, Spoken } from "../instruments/dialect.ts";
import { commandIn, namesIn } from "../instruments/names-in.ts";
import type { LineProfile } from "../profiles/line-profile.schema.ts";

type Groups = Readonly<Record<string, string | undefined>>;
type Told = Arrival & { readonly groups: Groups };

/**
 * SCPI writes "no valid reading" and "beyond the range" as numbers: 9.91E37, 9.9E37, -9.9E37. They are made not finite
 * here. Source: SCPI-1999 volume 1, 7.2.1.
 */
const SCPI_NO_NUMBER = 9.9e37;

/** No instrument keeps more complaints than this. */
const QUEUE_LIMIT = 32;

const numberIn = (text: string): number => {
  const value = Number(text);
  return Math.abs(value) >= SCPI_NO_NUMBER ? Number.NaN : value;
};

/** Speaks to one instrument in lines of text. Lines carry no checksum: the pattern of the answer is the only guard. */
export const lineDialect = (name: string, profile: LineProfile, station: LineStation): Dialect => {
  const unfit = (asked: string, text: string): Fault =>
    fault("communication", "foreign-answer", `${name} answered "${text}" to ${asked}, which is no answer to that.`, {
      means: "It was thrown away.",
      remedy: "Check that the profile belongs to this instrument.",
    });

  const ask = async (line: string, answer: RegExp): Promise<Result<Told, Fault>> => {
    const heard = await station.ask(line);
    if (!heard.ok) return heard;
    const { text, at_s, raw, generation } = heard.value;
    const found = answer.exec(text.trim());
    return found === null ? err(unfit(line, text)) : ok({ at_s, raw, generation, groups: found.groups ?? {} });
  };

  const askNumber = async (
    what: { readonly ask: string; readonly answer: RegExp; readonly unit: string },
    called: string,
  ): Promise<Result<Spoken, Fault>> => {
    const told = await ask(what.ask, what.answer);
    if (!told.ok) return told;
    const { groups, at_s, raw, generation } = told.value;
    if (groups["unit"] !== undefined && groups["unit"] !== what.unit) {
      return err(
        fault("device", "wrong-setting", `${name} answers in ${groups["unit"]}, but ${what.unit} is wanted.`, {
          means: "The reading was thrown away.",
          remedy: `Set the unit of the instrument to ${what.unit}.`,
        }),
      );
    }
    const said: Said = { value: numberIn(groups["value"] ?? ""), unit: what.unit };
    return ok({ values: new Map([[called, said]]), alarms: [], at_s, raw, generation });
  };

  /** `null` when the instrument has taken the last command. */
  const complaint = async (): Promise<Fault | null> => {
    if (profile.errors === undefined) return null;
    const heard = await station.ask(profile.errors.ask);
    if (!heard.ok) return heard.fault;
    if (profile.errors.none.test(heard.value.text)) return null;
    return fault("device", "device-refused", `${name} refused the command: ${heard.value.text}.`, {
      means: "It did not do what it was told.",
      remedy: "Check that it is in remote operation and that the value lies in its range.",
    });
  };

  /** Old complaints would be blamed on the next command, so they are read away first. */
  const clearComplaints = async (): Promise<Fault | null> => {
    for (let asked = 0; asked < QUEUE_LIMIT; asked += 1) {
      const found = await complaint();
      if (found === null) return null;
      if (found.kind !== "device") return found;
    }
    return null;
  };

  const commandOf = (command: string): LineProfile["commands"][string] => commandIn(profile.commands, command, name);

  return {
    ...namesIn(profile),
    get generation() {
      return station.generation;
    },
    identity: async () => {
      const told = await ask(profile.identity.ask, profile.identity.answer);
      if (!told.ok) return told;
      const cleared = await clearComplaints();
      if (cleared !== null) return err(cleared);
      const { groups, generation } = told.value;
      const part = (each: string): string => (groups[each] ?? "").trim();
      return ok({ maker: part("maker"), model: part("model"), serial_number: part("serial_number"), generation });
    },
    settings: async (wanted) => {
      const said: SaidSetting[] = [];
      for (const [each, setting] of Object.entries(profile.settings)) {
        const told = await ask(setting.ask, setting.answer);
        if (!told.ok) return told;
        const shows = told.value.groups["value"] ?? "";
        const target = wanted[each] ?? setting.wanted;
        const holds =
          typeof target === "number" ? Math.abs(numberIn(shows) - target) <= setting.within : shows === target;
        said.push({ name: each, shows, wanted: String(target), holds });
      }
      return ok(said);
    },
    read: async (names) => {
      let first: Spoken | null = null;
      const values = new Map<string, Said>();
      for (const each of names) {
        const reading = profile.readings[each];
        if (reading === undefined) continue;
        const said = await askNumber(reading, each);
        if (!said.ok) return said;
        for (const [key, value] of said.value.values) values.set(key, value);
        first ??= said.value;
      }
      if (first === null) throw new Error(`nothing is to be read from ${name}`);
      return ok({ ...first, values });
    },
    send: async (command, value) => {
      const { send, decimals } = commandOf(command);
      const sent = await station.send(send.replace("{value}", value.toFixed(decimals)));
      if (!sent.ok) return sent;
      const refused = await complaint();
      return refused === null ? sent : err(refused);
    },
    confirm: (command) => {
      const { confirm, answer, unit } = commandOf(command);
      return askNumber({ ask: confirm, answer, unit }, command);
    },
    tolerance: (command) => {
      const { within, decimals } = commandOf(command);
      return within ?? 10 ** -decimals;
    },
    staleAfter_s: null,
    close: () => station.close(),
  };
};
