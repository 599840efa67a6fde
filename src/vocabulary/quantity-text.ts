import { isPressureUnit, type PressureUnit, pressureUnitNames, toKilopascal } from "./pressure-units.ts";
import {
  type Celsius,
  celsius,
  type Kilopascal,
  type Milliamp,
  mA,
  type PercentOfSpan,
  percentOfSpan,
  type Second,
  seconds,
} from "./quantities.ts";
import { err, ok, type Result } from "./result.ts";

/** A quantity as a person wrote it, with the value in the internal unit and the writer's own unit kept. */
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
  | { readonly kind: "duration"; readonly s: Second; readonly text: string }
  | { readonly kind: "percent-of-span"; readonly percent: PercentOfSpan; readonly text: string }
  | { readonly kind: "percent-of-reading"; readonly percent: number; readonly text: string };

export type QuantityKind = Quantity["kind"];
export type QuantityOf<K extends QuantityKind> = Extract<Quantity, { readonly kind: K }>;

/** A bare water or mercury column, and what it has to be written as. */
const BARE_COLUMNS: Readonly<Record<string, string>> = {
  inH2O: "inH2O(conventional), inH2O(4degC), inH2O(20degC) or inH2O(60degF)",
  mmH2O: "mmH2O(conventional) or mmH2O(4degC)",
  mmHg: "mmHg(0degC)",
  inHg: "inHg(0degC)",
};

const NUMBER_WITH_UNIT = /^([+-]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?)\s*(\S.*)?$/u;

const scaled: Readonly<Record<string, (value: number, text: string) => Quantity>> = {
  mA: (v, text) => ({ kind: "current", mA: mA(v), text }),
  A: (v, text) => ({ kind: "current", mA: mA(v * 1e3), text }),
  uA: (v, text) => ({ kind: "current", mA: mA(v / 1e3), text }),
  degC: (v, text) => ({ kind: "temperature", degC: celsius(v), text }),
  "°C": (v, text) => ({ kind: "temperature", degC: celsius(v), text }),
  K: (v, text) => ({ kind: "temperature", degC: celsius(v - 273.15), text }),
  degF: (v, text) => ({ kind: "temperature", degC: celsius(((v - 32) * 5) / 9), text }),
  "°F": (v, text) => ({ kind: "temperature", degC: celsius(((v - 32) * 5) / 9), text }),
  ms: (v, text) => ({ kind: "duration", s: seconds(v / 1e3), text }),
  s: (v, text) => ({ kind: "duration", s: seconds(v), text }),
  min: (v, text) => ({ kind: "duration", s: seconds(v * 60), text }),
  h: (v, text) => ({ kind: "duration", s: seconds(v * 3600), text }),
  "%span": (v, text) => ({ kind: "percent-of-span", percent: percentOfSpan(v), text }),
  "% span": (v, text) => ({ kind: "percent-of-span", percent: percentOfSpan(v), text }),
  "% of span": (v, text) => ({ kind: "percent-of-span", percent: percentOfSpan(v), text }),
  "%reading": (v, text) => ({ kind: "percent-of-reading", percent: v, text }),
  "% of reading": (v, text) => ({ kind: "percent-of-reading", percent: v, text }),
};

/** Reads a number with a point or one comma as decimal mark; grouping and both marks together are refused. */
const readNumber = (text: string): number | null => {
  const value = Number(text.replace(",", "."));
  return Number.isFinite(value) ? value : null;
};

/**
 * Quantity text such as `3 psi`, `4 mA`, `0.5 %span`, `20 degC`, `30 s`. A missing unit, a bare water or mercury column
 * and a percentage that does not say of what are refused with a sentence that names the remedy.
 */
export const parseQuantity = (source: string): Result<Quantity, string> => {
  const text = source.trim();
  const match = NUMBER_WITH_UNIT.exec(text);
  if (match === null) return err(`"${source}" is not a number with a unit, such as 3 psi, 4 mA or 0.5 %span`);
  const unit = (match[2] ?? "").trim();
  const value = readNumber(match[1] ?? "");
  if (value === null)
    return err(`"${source}" has no readable number; write one decimal mark and no grouping, such as 1013.25 mbar`);
  if (unit === "") return err(`"${source}" has no unit; write it, such as ${text} kPa or ${text} mA`);
  if (/^[.,\d]/u.test(unit)) {
    return err(
      `"${source}" mixes decimal marks or groups digits; write one decimal mark and no grouping, such as 1013.25 mbar`,
    );
  }
  if (isPressureUnit(unit)) return ok({ kind: "pressure", kPa: toKilopascal(value, unit), unit, written: value, text });
  const make = scaled[unit];
  if (make !== undefined) {
    const quantity = make(value, text);
    if (quantity.kind === "temperature" && quantity.degC < -273.15) return err(`"${source}" is below absolute zero`);
    return ok(quantity);
  }
  const column = BARE_COLUMNS[unit];
  if (column !== undefined) return err(`"${source}" needs the reference condition of its column; write ${column}`);
  if (unit === "%") return err(`"${source}" does not say of what; write %span or %reading`);
  if (unit === "psig" || unit === "psia" || unit === "barg" || unit === "bara") {
    return err(
      `"${source}" hides gauge or absolute in the unit; write ${unit.slice(0, -1)} and state the mode beside it (mode: gauge or absolute)`,
    );
  }
  const near = [...pressureUnitNames, ...Object.keys(scaled)].find((name) => name.toLowerCase() === unit.toLowerCase());
  if (near !== undefined) return err(`"${source}" has the unit "${unit}", which is not known; did you mean ${near}?`);
  return err(
    `"${source}" has the unit "${unit}", which is not known; pressure units are ${pressureUnitNames.join(", ")}`,
  );
};

/** Like `parseQuantity`, but only one kind will do. */
export const parseQuantityOf = <K extends QuantityKind>(kind: K, source: string): Result<QuantityOf<K>, string> => {
  const parsed = parseQuantity(source);
  if (!parsed.ok) return parsed;
  return parsed.value.kind === kind
    ? ok(parsed.value as QuantityOf<K>)
    : err(
        `"${source}" is a ${parsed.value.kind.replaceAll("-", " ")}, but a ${kind.replaceAll("-", " ")} is wanted here`,
      );
};
