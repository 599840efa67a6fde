import type { RegisterField, RegisterProfile } from "../profiles/register-profile.schema.ts";
import type { ReadGroup } from "./read-groups.ts";
import { bitAlarms, decodeNumber, lengthOf, otherOrders, shown } from "./register-value.ts";

/** A value as a person reads it who sets up a profile. */
export interface SpeltOut {
  /** Section and name in the profile, such as `readings.pressure`. */
  readonly name: string;
  readonly text: string;
  /** What looks wrong, and what would look right. */
  readonly doubt?: string;
}

export type NamedFields = Readonly<Record<string, RegisterField>>;

/** All fields of a profile under section and name. */
export const fieldsOf = (profile: RegisterProfile): NamedFields =>
  Object.fromEntries(
    (["identity", "settings", "readings", "commands"] as const).flatMap((section) =>
      Object.entries(profile[section]).map(([name, field]) => [`${section}.${name}`, field] as const),
    ),
  );

/** No pressure, current or time on a bench is farther from 1 than this, in any unit that is used for it. */
const ABSURD = 1e12;

const isPlausible = (value: number): boolean =>
  value === 0 || (Number.isFinite(value) && Math.abs(value) < ABSURD && Math.abs(value) > 1 / ABSURD);

const short = (value: number): string => String(Number(value.toPrecision(7)));

const doubtAbout = (words: readonly number[], field: RegisterField): string | undefined => {
  if (field.type !== "float32" && field.type !== "float64") return undefined;
  if (isPlausible(decodeNumber(words, field))) return undefined;
  const others = otherOrders(words, field).filter(({ value }) => value !== 0 && isPlausible(value));
  return others.length === 0
    ? "no plausible number in any order: look at the address, which may be off by one"
    : `no plausible number; it would be ${others.map(({ order, value }) => `${short(value)} with order ${order}`).join(", ")}`;
};

const alarmsOf = (words: readonly number[], field: RegisterField): string => {
  if (field.bits === undefined) return "";
  const set = bitAlarms(words, field);
  return set.length === 0 ? " (no bit set)" : ` (${set.join(", ")})`;
};

/** What the words that one request fetched mean, field by field. */
export const spellOut = (
  fields: NamedFields,
  group: Pick<ReadGroup, "table" | "address">,
  values: readonly number[],
): readonly SpeltOut[] =>
  Object.entries(fields).flatMap(([name, field]) => {
    const from = field.address - group.address;
    if (field.table !== group.table || from < 0 || from + lengthOf(field) > values.length) return [];
    const words = values.slice(from, from + lengthOf(field));
    const said = field.type === "text" ? `"${shown(words, field)}"` : shown(words, field);
    const number = field.type.startsWith("float") ? short(Number(said)) : said;
    const text = `${number}${field.unit === undefined ? "" : ` ${field.unit}`}${alarmsOf(words, field)}`;
    const doubt = doubtAbout(words, field);
    return [{ name, text, ...(doubt === undefined ? {} : { doubt }) }];
  });
