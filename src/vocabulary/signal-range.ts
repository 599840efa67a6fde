import type { PressureUnit } from "./pressure-units.ts";
import {
  type Kilopascal,
  kPa,
  type Milliamp,
  mA,
  type PercentOfSpan,
  type PressureMode,
  percentOfSpan,
} from "./quantities.ts";

/** Current signal range of the input: 4-20 mA (IEC 60381-1), 0-20 mA, 10-50 mA, a split range such as 4-12 mA, any other. */
export interface CurrentRange {
  readonly lower_mA: Milliamp;
  readonly upper_mA: Milliamp;
}

/** Pressure range of the output: 3-15 psi and 20-100 kPa (IEC 60382) are two different ranges, 3.4 % apart in span. */
export interface PressureRange {
  readonly lower_kPa: Kilopascal;
  readonly upper_kPa: Kilopascal;
  /** The unit in which the owner of the unit speaks. */
  readonly unit: PressureUnit;
  readonly mode: PressureMode;
}

/** `direct`: more current, more pressure. `reverse`: more current, less pressure. */
export type Action = "direct" | "reverse";
/** `square-root`: output share = square root of the input share. */
export type Characteristic = "linear" | "square-root";

/** What the unit ought to do. */
export interface Transfer {
  readonly input: CurrentRange;
  readonly output: PressureRange;
  readonly action: Action;
  readonly characteristic: Characteristic;
}

export const spanOf = (range: PressureRange): Kilopascal => kPa(range.upper_kPa - range.lower_kPa);

/** Pressure as % of the output span, 0 at the lower range value. */
export const percentOf = (range: PressureRange, pressure: Kilopascal): PercentOfSpan =>
  percentOfSpan((100 * (pressure - range.lower_kPa)) / (range.upper_kPa - range.lower_kPa));

export const pressureAt = (range: PressureRange, percent: PercentOfSpan): Kilopascal =>
  kPa(range.lower_kPa + (percent / 100) * (range.upper_kPa - range.lower_kPa));

/**
 * Ideal output for an input current, continued beyond the range along the same line; below the input range a
 * square-root unit stays at its zero-share end.
 * Source of the linear map: Kuphaldt, Lessons in Industrial Instrumentation (CC BY), linear instruments.
 */
export const idealOutput = (transfer: Transfer, current: Milliamp): Kilopascal => {
  const { input, output } = transfer;
  const share = (current - input.lower_mA) / (input.upper_mA - input.lower_mA);
  const shaped = transfer.characteristic === "linear" ? share : Math.sqrt(Math.max(0, share));
  return pressureAt(output, percentOfSpan(100 * (transfer.action === "direct" ? shaped : 1 - shaped)));
};

/** Current at which the ideal output is `percent` of the output span. */
export const inputFor = (transfer: Transfer, percent: PercentOfSpan): Milliamp => {
  const { input } = transfer;
  const shaped = transfer.action === "direct" ? percent / 100 : 1 - percent / 100;
  const share = transfer.characteristic === "linear" ? shaped : shaped * Math.abs(shaped);
  return mA(input.lower_mA + share * (input.upper_mA - input.lower_mA));
};

/** Slope of the ideal output at a current, kPa per mA; infinite at the foot of a square root. */
export const sensitivity = (transfer: Transfer, current: Milliamp): number => {
  const { input, output } = transfer;
  const slope = (output.upper_kPa - output.lower_kPa) / (input.upper_mA - input.lower_mA);
  const sign = transfer.action === "direct" ? 1 : -1;
  if (transfer.characteristic === "linear") return sign * slope;
  const share = (current - input.lower_mA) / (input.upper_mA - input.lower_mA);
  return share <= 0 ? sign * Number.POSITIVE_INFINITY : (sign * slope) / (2 * Math.sqrt(share));
};
