import { fromKilopascal, type PressureUnit } from "../vocabulary/pressure-units.ts";
import { kPa } from "../vocabulary/quantities.ts";

/** A pressure as the owner of the unit reads it. */
export const pressureText = (pressure_kPa: number, unit: PressureUnit): string =>
  `${fromKilopascal(kPa(pressure_kPa), unit).toFixed(unit === "Pa" ? 0 : unit === "bar" || unit === "MPa" ? 5 : 3)} ${unit}`;
