import { fromKilopascal, isPressureUnit } from "../../vocabulary/pressure-units.ts";
import { kPa } from "../../vocabulary/quantities.ts";
import { parseQuantityOf } from "../../vocabulary/quantity-text.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { waterDensity } from "../../vocabulary/water-density.ts";
import { type Row, row } from "./row.ts";
import { writtenNumber } from "./written.ts";

/** Metres; an inch and a foot exactly. */
const LENGTHS: Readonly<Record<string, number>> = { inH2O: 0.0254, ftH2O: 0.3048, cmH2O: 0.01, mmH2O: 0.001, mH2O: 1 };
const STANDARD_GRAVITY = 9.80665; // m/s2, exact, CGPM 1901

/** A water column at a temperature that no unit has, standard gravity: `10 inH2O` at `25 degC`. */
export const waterColumnRows = (text: string, at: string, to = "Pa"): Result<readonly Row[], string> => {
  const written = writtenNumber(text);
  if (!written.ok) return written;
  const length = LENGTHS[written.value.unit];
  if (length === undefined) return err(`"${text}" is no water column; write it in ${Object.keys(LENGTHS).join(", ")}.`);
  const temperature = parseQuantityOf("temperature", at);
  if (!temperature.ok) return err(`${temperature.fault.message} ${temperature.fault.remedy}`);
  const { degC } = temperature.value;
  if (!(degC >= 0 && degC <= 100))
    return err(`Water is no liquid column at ${at}; give a temperature from 0 to 100 degC.`);
  if (!isPressureUnit(to)) return err(`"${to}" is not a pressure unit.`);
  const density = waterDensity(degC);
  const one_kPa = (density * STANDARD_GRAVITY * length) / 1e3;
  return ok([
    row("pressure", fromKilopascal(kPa(one_kPa * written.value.value), to), to),
    row(`1 ${written.value.unit} at this temperature`, 1e3 * one_kPa, "Pa"),
    row("density of water", density, "kg/m3"),
    row("source", "Bettin and Spieweck formula for the density, standard gravity 9.80665 m/s2"),
  ]);
};
