import { parseNumber, splitNumber } from "../../vocabulary/number-text.ts";
import { parseQuantity } from "../../vocabulary/quantity-text.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";

/** A number with whatever unit a person wrote behind it. */
export interface Written {
  readonly value: number;
  readonly unit: string;
  readonly text: string;
}

export const writtenNumber = (text: string): Result<Written, string> => {
  const split = splitNumber(text.trim());
  if (split === null) return err(`"${text}" does not begin with a number; write it like 9 psi, 12 mA or 41 degF.`);
  const value = parseNumber(split.number);
  return value.ok
    ? ok({ value: value.value, unit: split.rest, text })
    : err(`${value.fault.message} ${value.fault.remedy}`);
};

/** The number of a known quantity in its internal unit; null for a unit that is only known by its name. */
const internal = (value: number, unit: string): { readonly kind: string; readonly value: number } | null => {
  const quantity = parseQuantity(`${value} ${unit}`);
  if (!quantity.ok) return null;
  switch (quantity.value.kind) {
    case "pressure":
      return { kind: "pressure", value: quantity.value.kPa };
    case "current":
      return { kind: "current", value: quantity.value.mA };
    case "temperature":
      return { kind: "temperature", value: quantity.value.degC };
    default:
      return null;
  }
};

/** The same quantity in `unit`; null when the two units are of different kinds, or other words for who knows what. */
export const inUnit = ({ value, unit: from }: Written, unit: string): number | null => {
  if (from === unit) return value;
  const [own, zero, one] = [internal(value, from), internal(0, unit), internal(1, unit)];
  if (own === null || zero === null || one === null || own.kind !== zero.kind) return null;
  return (own.value - zero.value) / (one.value - zero.value);
};

export interface WrittenRange {
  readonly lower: number;
  readonly upper: number;
  readonly unit: string;
}

/** `4 mA to 20 mA`, `3 to 15 psi`, `-88 to 145`. The upper end is above the lower one. */
export const writtenRange = (text: string): Result<WrittenRange, string> => {
  const [first, second, more] = text.split(/\s+to\s+/u);
  const [low, high] = [first, second].map((part) => (part === undefined ? null : writtenNumber(part)));
  if (more !== undefined || low?.ok !== true || high?.ok !== true) {
    return err(`"${text}" is not a range; write it like 4 mA to 20 mA, or 3 to 15 psi.`);
  }
  const unit = high.value.unit;
  const lower = low.value.unit === "" ? low.value.value : inUnit(low.value, unit);
  if (lower === null) return err(`"${text}" has two units that do not go together.`);
  return high.value.value > lower
    ? ok({ lower, upper: high.value.value, unit })
    : err(
        `"${text}" does not go from its lower to its upper end; for a unit that works the other way, say --action reverse.`,
      );
};
