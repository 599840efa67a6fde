import { parseNumber, splitNumber, type TextFault } from "./number-text.ts";
import { isPressureUnit, type PressureUnit, pressureUnitNames, toKilopascal } from "./pressure-units.ts";
import {
  type Celsius,
  celsius,
  type Kilopascal,
  type Milliamp,
  mA,
  type PercentHumidity,
  type PercentOfSpan,
  percentHumidity,
  percentOfSpan,
  type Second,
  seconds,
} from "./quantities.ts";
import { err, ok, type Result } from "./result.ts";
import { adviseUnit } from "./unit-advice.ts";

/** A quantity as a person wrote it, with the value in the internal unit and the writer's own words kept. */
export type Quantity =
  | {
      readonly kind: "pressure";
      readonly kPa: Kilopascal;
      readonly unit: PressureUnit;
      readonly written: number;
      readonly text: string;
    }
  | { readonly kind: "current"; readonly mA: Milliamp; readonly text: string }
  | { readonly kind: "temperature"; readonly degC: Celsius; readonly text: string }
  /** How far apart two temperatures are; `0.2 K` and `0.2 degC` are the same. */
  | { readonly kind: "temperature-difference"; readonly K: number; readonly text: string }
  /** Relative, of air. */
  | { readonly kind: "humidity"; readonly percentRH: PercentHumidity; readonly text: string }
  | { readonly kind: "duration"; readonly s: Second; readonly text: string }
  | { readonly kind: "length"; readonly m: number; readonly text: string }
  | { readonly kind: "percent-of-span"; readonly percent: PercentOfSpan; readonly text: string }
  | { readonly kind: "percent-of-reading"; readonly percent: number; readonly text: string };

export type QuantityKind = Quantity["kind"];
export type QuantityOf<K extends QuantityKind> = Extract<Quantity, { readonly kind: K }>;

type Make = (value: number, text: string) => Quantity;

const temperature = (degC: number, text: string): Quantity => ({ kind: "temperature", degC: celsius(degC), text });
const difference = (K: number, text: string): Quantity => ({ kind: "temperature-difference", K, text });
const humidity: Make = (v, text) => ({ kind: "humidity", percentRH: percentHumidity(v), text });
const ofSpan: Make = (v, text) => ({ kind: "percent-of-span", percent: percentOfSpan(v), text });
const ofReading: Make = (v, text) => ({ kind: "percent-of-reading", percent: v, text });

const length = (m: number, text: string): Quantity => ({ kind: "length", m, text });

/** Absolute zero and the size of a degree: the SI definition of the degree Celsius, and 9/5 for Fahrenheit. */
const ABSOLUTE_ZERO_DEGC = -273.15;

const UNITS: ReadonlyMap<string, Make> = new Map<string, Make>([
  ["mA", (v, text) => ({ kind: "current", mA: mA(v), text })],
  ["A", (v, text) => ({ kind: "current", mA: mA(v * 1e3), text })],
  ["uA", (v, text) => ({ kind: "current", mA: mA(v / 1e3), text })],
  ["µA", (v, text) => ({ kind: "current", mA: mA(v / 1e3), text })],
  ["degC", temperature],
  ["°C", temperature],
  ["K", (v, text) => temperature(v + ABSOLUTE_ZERO_DEGC, text)],
  ["degF", (v, text) => temperature(((v - 32) * 5) / 9, text)],
  ["°F", (v, text) => temperature(((v - 32) * 5) / 9, text)],
  ["ms", (v, text) => ({ kind: "duration", s: seconds(v / 1e3), text })],
  ["s", (v, text) => ({ kind: "duration", s: seconds(v), text })],
  ["min", (v, text) => ({ kind: "duration", s: seconds(v * 60), text })],
  ["h", (v, text) => ({ kind: "duration", s: seconds(v * 3600), text })],
  ["m", length],
  ["cm", (v, text) => length(v / 100, text)],
  ["mm", (v, text) => length(v / 1000, text)],
  ["in", (v, text) => length(v * 0.0254, text)],
  ["%RH", humidity],
  ["% RH", humidity],
  ["%span", ofSpan],
  ["% span", ofSpan],
  ["% of span", ofSpan],
  ["%reading", ofReading],
  ["% reading", ofReading],
  ["% of reading", ofReading],
]);

const DIFFERENCES: ReadonlyMap<string, Make> = new Map<string, Make>([
  ["K", difference],
  ["degC", difference],
  ["°C", difference],
  ["degF", (v, text) => difference((v * 5) / 9, text)],
  ["°F", (v, text) => difference((v * 5) / 9, text)],
]);

const unitNames = [...pressureUnitNames, ...UNITS.keys()];

/** A column may be written with blanks and a degree sign: `inH2O (4 °C)` is `inH2O(4degC)`. */
const tidyUnit = (unit: string): string =>
  unit.includes("(") ? unit.replace(/\s+/gu, "").replace("°", "deg") : unit.replace(/\s+/gu, " ");

const parseWith = (source: string, table: ReadonlyMap<string, Make>): Result<Quantity, TextFault> => {
  const text = source.trim();
  const split = splitNumber(text);
  if (split === null) {
    return err({
      message: `"${source}" is not a number with a unit.`,
      remedy: "Write a number and its unit, such as 3 psi, 4 mA or 0.5 %span.",
    });
  }
  const value = parseNumber(split.number);
  if (!value.ok) return value;
  const unit = tidyUnit(split.rest);
  if (unit === "")
    return err({ message: `"${source}" has no unit.`, remedy: `Write the unit, such as ${text} kPa or ${text} mA.` });
  if (isPressureUnit(unit))
    return ok({ kind: "pressure", kPa: toKilopascal(value.value, unit), unit, written: value.value, text });
  const make = table.get(unit) ?? UNITS.get(unit);
  if (make === undefined) return err(adviseUnit(source, split.number, unit, unitNames));
  const quantity = make(value.value, text);
  if (quantity.kind === "temperature" && quantity.degC < ABSOLUTE_ZERO_DEGC)
    return err({ message: `"${source}" is below absolute zero.`, remedy: "Check the sign and the unit." });
  return ok(quantity);
};

/**
 * Quantity text such as `3 psi`, `4 mA`, `0.5 %span`, `20 degC`, `30 s`. A point or one comma is the decimal mark. A
 * missing unit, a bare water or mercury column and a percentage that does not say of what are refused with a remedy.
 */
export const parseQuantity = (source: string): Result<Quantity, TextFault> => parseWith(source, UNITS);

const NOUNS: Readonly<Record<QuantityKind, { readonly noun: string; readonly example: string }>> = {
  pressure: { noun: "a pressure", example: "3 psi" },
  current: { noun: "a current", example: "4 mA" },
  temperature: { noun: "a temperature", example: "20 degC" },
  "temperature-difference": { noun: "a temperature difference", example: "0.2 K" },
  humidity: { noun: "a relative humidity", example: "45 %RH" },
  duration: { noun: "a duration", example: "30 s" },
  length: { noun: "a length", example: "0.3 m" },
  "percent-of-span": { noun: "a percentage of span", example: "0.5 %span" },
  "percent-of-reading": { noun: "a percentage of reading", example: "0.1 %reading" },
};

/** `a`, `a or b`, `a, b or c`. */
const either = (words: readonly string[]): string =>
  words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} or ${words.at(-1)}`;

/** Like `parseQuantity`, but only the given kinds will do; the first one is the example in the remedy. */
export const parseQuantityOf = <K extends QuantityKind>(
  kinds: K | readonly [K, ...K[]],
  source: string,
): Result<QuantityOf<K>, TextFault> => {
  const wanted: readonly K[] = typeof kinds === "string" ? [kinds] : kinds;
  const table = wanted.some((kind) => kind === "temperature-difference") ? DIFFERENCES : UNITS;
  const parsed = parseWith(source, table);
  if (!parsed.ok) return parsed;
  if (wanted.some((kind) => kind === parsed.value.kind)) return ok(parsed.value as QuantityOf<K>);
  const names = either(wanted.map((kind) => NOUNS[kind].noun));
  return err({
    message: `"${source}" is ${NOUNS[parsed.value.kind].noun}, but ${names} is wanted here.`,
    remedy: `Write ${names}, such as ${either(wanted.map((kind) => NOUNS[kind].example))}.`,
  });
};
