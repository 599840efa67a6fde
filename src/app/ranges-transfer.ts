import { parseQuantityOf } from "../vocabulary/quantity-text.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import type { Action, Characteristic, Transfer } from "../vocabulary/signal-range.ts";

const ends = (text: string): readonly [string, string] | null => {
  const [lower, upper, more] = text.split(/\s+to\s+/u);
  return lower === undefined || upper === undefined || more !== undefined ? null : [lower, upper];
};

/** Ranges as text, such as `4 mA to 20 mA` and `3 psi to 15 psi`, to the transfer between them. */
export const rangesTransfer = (
  input: string,
  output: string,
  action: Action,
  characteristic: Characteristic,
): Result<Transfer, string> => {
  const [currents, pressures] = [ends(input), ends(output)];
  if (currents === null) return err(`"${input}" is not a range of currents; write it like 4 mA to 20 mA.`);
  if (pressures === null) return err(`"${output}" is not a range of pressures; write it like 3 psi to 15 psi.`);
  const lower = parseQuantityOf("current", currents[0]);
  const upper = parseQuantityOf("current", currents[1]);
  const low = parseQuantityOf("pressure", pressures[0]);
  const high = parseQuantityOf("pressure", pressures[1]);
  for (const end of [lower, upper, low, high]) if (!end.ok) return err(`${end.fault.message} ${end.fault.remedy}`);
  if (!lower.ok || !upper.ok || !low.ok || !high.ok) return err("");
  if (!(upper.value.mA > lower.value.mA) || !(high.value.kPa > low.value.kPa)) {
    return err(
      "A range goes from its lower to its upper end; for a unit that works the other way, say --action reverse.",
    );
  }
  return ok({
    input: { lower_mA: lower.value.mA, upper_mA: upper.value.mA },
    output: { lower_kPa: low.value.kPa, upper_kPa: high.value.kPa, unit: high.value.unit, mode: "gauge" },
    action,
    characteristic,
  });
};
