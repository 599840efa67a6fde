import type { UnitFile } from "../config/unit-file.schema.ts";
import { type Milliamp, percentOfSpan } from "../vocabulary/quantities.ts";
import { inputFor, type Transfer } from "../vocabulary/signal-range.ts";

/** What the unit ought to do, from its file. The unit of its lower range value is the unit its owner speaks. */
export const transferOf = (unit: UnitFile): Transfer => ({
  input: { lower_mA: unit.input.lower.mA, upper_mA: unit.input.upper.mA },
  output: {
    lower_kPa: unit.output.lower.kPa,
    upper_kPa: unit.output.upper.kPa,
    unit: unit.output.lower.unit,
    mode: unit.output.mode,
  },
  action: unit.action,
  characteristic: unit.characteristic,
});

/** Current at which the unit is left: the one its file names, or the end of the input with the lower pressure. */
export const safeCurrentOf = (unit: UnitFile): Milliamp =>
  unit.safe_current?.mA ?? inputFor(transferOf(unit), percentOfSpan(0));
