import { type Kilopascal, kPa, type Milliamp, mA } from "../vocabulary/quantities.ts";
import { idealOutput, spanOf, type Transfer } from "../vocabulary/signal-range.ts";
import type { UnitFile } from "./unit-file.schema.ts";

/** Figures that follow from a unit file. */

type Tolerance = UnitFile["tolerance"];

/** What the unit ought to do. */
export const transferOf = (unit: UnitFile): Transfer => ({
  input: { lower_mA: unit.input.lower.mA, upper_mA: unit.input.upper.mA },
  output: {
    lower_kPa: unit.output.lower.kPa,
    upper_kPa: unit.output.upper.kPa,
    unit: unit.output.upper.unit,
    mode: unit.output.mode,
  },
  action: unit.action,
  characteristic: unit.characteristic,
});

/** A tolerance or U in kPa: of a span, and of the size of a reading. */
export const inKilopascal = (limit: Tolerance, span: Kilopascal, reading: Kilopascal): Kilopascal => {
  switch (limit.kind) {
    case "pressure":
      return limit.kPa;
    case "percent-of-span":
      return kPa((limit.percent / 100) * span);
    case "percent-of-reading":
      return kPa((limit.percent / 100) * Math.abs(reading));
  }
};

/** Greatest error allowed where the ideal output is `ideal`, kPa. */
export const toleranceAt = (unit: UnitFile, ideal: Kilopascal): Kilopascal =>
  inKilopascal(unit.tolerance, spanOf(transferOf(unit).output), ideal);

/** Current at which the unit is left: as stated, or the end of the input range with the lower pressure. */
export const safeCurrentOf = (unit: UnitFile): Milliamp =>
  unit.safe_current?.mA ?? (unit.action === "direct" ? unit.input.lower.mA : unit.input.upper.mA);

/**
 * Current that empties the output, for a vented reading of the gauge: 0 mA when the ideal output, continued to 0 mA, is
 * at or below zero gauge; null when no current does that (reverse action, a root that stays at its foot, an output that
 * is not measured against the atmosphere). Equality is taken with a billionth of the span to spare, because 20-100 kPa
 * ends at exactly zero.
 */
export const ventCurrentOf = (unit: UnitFile): Milliamp | null => {
  const transfer = transferOf(unit);
  if (transfer.output.mode !== "gauge") return null;
  return idealOutput(transfer, mA(0)) <= 1e-9 * spanOf(transfer.output) ? mA(0) : null;
};
