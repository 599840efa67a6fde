import { fromKilopascal, type PressureUnit } from "../../vocabulary/pressure-units.ts";
import { kPa } from "../../vocabulary/quantities.ts";

/** Units that gauges for air are set to. Factors come from the one table of units. */
const UNITS: readonly PressureUnit[] = ["Pa", "MPa", "bar", "mbar", "psi", "kgf/cm2", "mmHg(0degC)", "inH2O(4degC)"];
/** How near a factor has to be: a unit out of adjustment is off by a few per cent as well. */
const NEAR = 0.1;

/** A sentence when travel that was seen over travel that was wanted is the factor between two units; else nothing. */
export const unitFactorHint = (seen_over_wanted: number): string => {
  const found = UNITS.flatMap((unit) => {
    const factor = fromKilopascal(kPa(1), unit);
    if (Math.abs(seen_over_wanted / factor - 1) < NEAR) return [`the gauge may show ${unit} where kPa is taken`];
    return Math.abs(seen_over_wanted * factor - 1) < NEAR ? [`the gauge may show kPa where ${unit} is taken`] : [];
  });
  return found.length === 0
    ? ""
    : ` It is ${Number(seen_over_wanted.toPrecision(3))} of what it ought to be: ${found.join(", or ")}.`;
};
