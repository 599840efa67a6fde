import type { Arrival, RegisterStation } from "../../src/ports/link.ts";
import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";
import type { Dialect, Said, SaidSetting, Spoken } from "../instruments/dialect.ts";
import { commandIn, namesIn } from "../instruments/names-in.ts";
import type { RegisterField, RegisterProfile } from "../profiles/register-profile.schema.ts";
import { readGroups } from "./read-groups.ts";
import { bitAlarms, decodeNumber, encodeNumber, lengthOf, otherOrders, shown, stepAt } from "./register-value.ts";

type Fields = Readonly<Record<string, RegisterField>>;
type Words = Arrival & { readonly words: ReadonlyMap<string, readonly number[]> };

/** Without a new count for this long an instrument that counts is taken for stuck, s. */
const STALE_AFTER_S = 2;
/** What is read back may differ by this much unless the profile says otherwise, mA or the unit of the command. */
const WITHIN = 0.001;

const holds = (words: readonly number[], field: RegisterField, wanted: string | number): boolean => {
  if (typeof wanted === "string") return shown(words, field) === wanted;
  return Math.abs(decodeNumber(words, field) - wanted) <= (field.within ?? 0);
};

/** Speaks to one instrument by its register map. */
export const registerDialect = (name: string, profile: RegisterProfile, station: RegisterStation): Dialect => {
  /** The first field leads: its arrival is the stamp of the whole. */
  const fetch = async (fields: Fields): Promise<Result<Words, Fault>> => {
    const words = new Map<string, readonly number[]>();
    const [leading] = Object.keys(fields);
    const raws: string[] = [];
    let stamp: Arrival | null = null;
    for (const group of readGroups(fields)) {
      const { table, address, count } = group;
      const answer =
        table === "coil" || table === "discrete"
          ? await station.readBits(table, address, count)
          : await station.readRegisters(table, address, count);
      if (!answer.ok) return answer;
      const values = "bits" in answer.value ? answer.value.bits.map(Number) : answer.value.registers;
      for (const each of group.names) {
        const field = fields[each];
        if (field === undefined) continue;
        const from = field.address - address;
        words.set(each, values.slice(from, from + lengthOf(field)));
      }
      raws.push(answer.value.raw);
      // Values of two eras do not belong together: the instrument behind the line may be another one.
      if (stamp !== null && stamp.generation !== answer.value.generation) return err(parted(name));
      // The moment that counts is that of the leading value, whatever is fetched beside it.
      if (stamp === null || group.names.includes(leading ?? "")) stamp = answer.value;
    }
    if (stamp === null) throw new Error(`nothing is to be read from ${name}`);
    return ok({ words, at_s: stamp.at_s, raw: raws.join(" "), generation: stamp.generation });
  };

  const speak = (fields: Fields, { words, at_s, raw, generation }: Words): Spoken => {
    const values = new Map<string, Said>();
    const alarms: string[] = [];
    for (const [each, field] of Object.entries(fields)) {
      const found = words.get(each) ?? [];
      if (field.bits !== undefined) alarms.push(...bitAlarms(found, field));
      const value = field.type === "bool" ? (found[0] ?? 0) : decodeNumber(found, field);
      // Worked out only when it is asked for: most readings are never doubted.
      const said: Said = {
        value,
        unit: field.unit ?? "",
        get otherwise() {
          return otherOrders(found, field);
        },
      };
      values.set(each, said);
    }
    return { values, alarms, at_s, raw, generation };
  };

  const pick = (from: Fields, names: readonly string[]): Fields =>
    Object.fromEntries(names.flatMap((each) => (from[each] === undefined ? [] : [[each, from[each]]])));

  const commandField = (command: string): RegisterField => commandIn(profile.commands, command, name);

  return {
    ...namesIn(profile),
    get generation() {
      return station.generation;
    },
    identity: async () => {
      const answer = await fetch(profile.identity);
      if (!answer.ok) return answer;
      const text = (part: "maker" | "model" | "serial_number"): string =>
        shown(answer.value.words.get(part) ?? [], profile.identity[part]);
      const { generation } = answer.value;
      return ok({ maker: text("maker"), model: text("model"), serial_number: text("serial_number"), generation });
    },
    settings: async (wanted) => {
      if (Object.keys(profile.settings).length === 0) return ok([]);
      const answer = await fetch(profile.settings);
      if (!answer.ok) return answer;
      return ok(
        Object.entries(profile.settings).map(([each, field]): SaidSetting => {
          const words = answer.value.words.get(each) ?? [];
          const target = wanted[each] ?? field.wanted ?? "";
          return { name: each, shows: shown(words, field), wanted: String(target), holds: holds(words, field, target) };
        }),
      );
    },
    read: async (names) => {
      const fields = pick(profile.readings, [...names, "status", "count"]);
      const answer = await fetch(fields);
      return answer.ok ? ok(speak(fields, answer.value)) : answer;
    },
    send: async (command, value) => {
      const field = commandField(command);
      if (field.type === "bool") return station.writeCoil(field.address, value !== 0);
      const words = encodeNumber(value, field);
      if (words === null) {
        return err(
          fault("refused", "out-of-range", `${value} ${field.unit ?? ""} does not fit the registers of ${name}.`, {
            means: "Nothing was sent.",
          }),
        );
      }
      return station.writeRegisters(field.address, words);
    },
    confirm: async (command) => {
      const fields = { [command]: commandField(command) };
      const answer = await fetch(fields);
      return answer.ok ? ok(speak(fields, answer.value)) : answer;
    },
    tolerance: (command, value) => {
      const field = commandField(command);
      return field.within ?? Math.max(WITHIN, stepAt(value, field));
    },
    staleAfter_s:
      profile.readings["count"] === undefined ? null : (profile.readings["count"].stale_after ?? STALE_AFTER_S),
    close: () => station.close(),
  };
};

const parted = (name: string): Fault =>
  fault("communication", "line-lost", `The line to ${name} was opened anew between two parts of one reading.`, {
    means: "The parts may be of two instruments and were thrown away.",
  });
