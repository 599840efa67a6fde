import { loopSignalBand } from "../../vocabulary/loop-signal-band.ts";
import { fromKilopascal, isPressureUnit, pressureUnitNames } from "../../vocabulary/pressure-units.ts";
import { type Milliamp, mA } from "../../vocabulary/quantities.ts";
import { parseQuantity } from "../../vocabulary/quantity-text.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { type Row, row } from "./row.ts";
import { writtenNumber } from "./written.ts";

/** Resistance as `250 ohm`, `0.25 kohm`. */
const ohms = (text: string): Result<number, string> => {
  const written = writtenNumber(text);
  if (!written.ok) return written;
  const { value, unit } = written.value;
  const factor = { ohm: 1, kohm: 1e3 }[unit];
  return factor !== undefined && value > 0
    ? ok(value * factor)
    : err(`"${text}" is not a resistance; write it like 250 ohm.`);
};

const currentRows = (current: Milliamp, across: string | undefined): Result<readonly Row[], string> => {
  const base = [
    row("share of 4 mA to 20 mA", (100 * (current - 4)) / 16, "% of span"),
    row("band of NAMUR NE 43", loopSignalBand(current)),
  ];
  if (across === undefined) return ok(base);
  const resistance = ohms(across);
  return resistance.ok ? ok([row("voltage", (current * resistance.value) / 1e3, "V"), ...base]) : resistance;
};

const voltageRows = (text: string, across: string): Result<readonly Row[], string> | null => {
  const written = writtenNumber(text);
  const factor = written.ok ? { V: 1, mV: 1e-3 }[written.value.unit] : undefined;
  if (!written.ok || factor === undefined) return null;
  const resistance = ohms(across);
  if (!resistance.ok) return resistance;
  const current = mA((1e3 * written.value.value * factor) / resistance.value);
  const rest = currentRows(current, undefined);
  return rest.ok ? ok([row("current", current, "mA"), ...rest.value]) : rest;
};

/** A quantity by itself: a pressure in other units, a current in its band, either through a resistor. */
export const plainQuantity = (
  text: string,
  options: { readonly to?: string; readonly across?: string },
): Result<readonly Row[], string> => {
  const voltage = options.across === undefined ? null : voltageRows(text, options.across);
  if (voltage !== null) return voltage;
  const quantity = parseQuantity(text);
  if (!quantity.ok) return err(`${quantity.fault.message} ${quantity.fault.remedy}`);
  const { value } = quantity;
  if (value.kind === "current") return currentRows(value.mA, options.across);
  if (value.kind !== "pressure") {
    return err(`"${text}" is neither a pressure nor a current; to bring it through a unit, give --input and --output.`);
  }
  const { to } = options;
  if (to !== undefined && !isPressureUnit(to)) {
    return err(`"${to}" is not a pressure unit; choose one of ${pressureUnitNames.join(", ")}.`);
  }
  return ok(
    (to === undefined ? pressureUnitNames : [to]).map((unit) => row("pressure", fromKilopascal(value.kPa, unit), unit)),
  );
};
