import { isPressureUnit, toKilopascal } from "../../src/vocabulary/pressure-units.ts";
import { parseQuantityOf } from "../../src/vocabulary/quantity-text.ts";

/** The quantities that instruments give, with the internal unit of each: kPa, mA, degC, %RH, s. */
export type MeterQuantity = "pressure" | "current" | "temperature" | "humidity" | "duration";

/**
 * A number in the unit of a profile to the internal unit; `null` for a unit that is none of the quantity. One table of
 * units for the whole product: it goes through quantity text, whose number is written so that it comes back the same.
 */
export const toInternal = (quantity: MeterQuantity, value: number, unit: string): number | null => {
  if (quantity === "humidity") return unit === "%RH" ? value : null;
  if (quantity === "pressure") return isPressureUnit(unit) ? toKilopascal(value, unit) : null;
  const parsed = parseQuantityOf(quantity, `${value} ${unit}`);
  if (!parsed.ok) return null;
  switch (parsed.value.kind) {
    case "current":
      return parsed.value.mA;
    case "temperature":
      return parsed.value.degC;
    case "duration":
      return parsed.value.s;
  }
};

/** The internal unit to the unit of a profile, for quantities whose units differ by a factor only. */
export const fromInternal = (quantity: "current" | "duration" | "pressure", value: number, unit: string): number => {
  const one = toInternal(quantity, 1, unit);
  if (one === null) throw new Error(`${unit} is no unit of ${quantity}`);
  return one === 1 ? value : value / one;
};
