import { fromKilopascal, type PressureUnit } from "./pressure-units.ts";
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

/** How far along its input range a current lies: 0 at the lower end, 1 at the upper end, continued beyond both. */
const shareOf = (input: CurrentRange, current: Milliamp): number =>
  (current - input.lower_mA) / (input.upper_mA - input.lower_mA);

/**
 * Ideal output for an input current. Beyond the input range the same law is continued: a linear unit along its line
 * (so the ideal may lie below zero gauge, which no pressure can), a square-root unit along its curve above the range
 * and, below the range where there is no root, level at its foot. What the air can really do (zero, supply) is not
 * part of the ideal: a reading at such a stop is marked as clipped where it is judged.
 * Source of the linear map: Kuphaldt, Lessons in Industrial Instrumentation (CC BY), linear instruments.
 */
export const idealOutput = (transfer: Transfer, current: Milliamp): Kilopascal => {
  const { input, output } = transfer;
  const share = shareOf(input, current);
  const shaped = transfer.characteristic === "linear" ? share : Math.sqrt(Math.max(0, share));
  return pressureAt(output, percentOfSpan(100 * (transfer.action === "direct" ? shaped : 1 - shaped)));
};

/**
 * Current at which the ideal output is `percent` of the output span: the inverse of `idealOutput`. Percentages that a
 * square-root unit never reaches (beyond its foot) give the current of the foot.
 */
export const inputFor = (transfer: Transfer, percent: PercentOfSpan): Milliamp => {
  const { input } = transfer;
  const shaped = transfer.action === "direct" ? percent / 100 : 1 - percent / 100;
  const share = transfer.characteristic === "linear" ? shaped : Math.max(0, shaped) ** 2;
  return mA(input.lower_mA + share * (input.upper_mA - input.lower_mA));
};

/**
 * Slope of the ideal output at a current, kPa per mA. A square-root unit has an infinite slope at its foot and none
 * below it.
 */
export const sensitivity = (transfer: Transfer, current: Milliamp): number => {
  const { input, output } = transfer;
  const slope = (output.upper_kPa - output.lower_kPa) / (input.upper_mA - input.lower_mA);
  const sign = transfer.action === "direct" ? 1 : -1;
  if (transfer.characteristic === "linear") return sign * slope;
  const share = shareOf(input, current);
  if (share < 0) return 0;
  return share === 0 ? sign * Number.POSITIVE_INFINITY : (sign * slope) / (2 * Math.sqrt(share));
};

const ends = (lower: number, upper: number): string => {
  const [low, high] = [Number(lower.toPrecision(7)), Number(upper.toPrecision(7))];
  return low < 0 ? `${low} to ${high}` : `${low}-${high}`;
};

/** `4-20 mA`. */
export const currentRangeText = (range: CurrentRange): string => `${ends(range.lower_mA, range.upper_mA)} mA`;

/** In the owner's unit, with what it is measured against: `3-15 psi gauge`. */
export const pressureRangeText = (range: PressureRange): string =>
  `${ends(fromKilopascal(range.lower_kPa, range.unit), fromKilopascal(range.upper_kPa, range.unit))} ${range.unit} ${range.mode}`;
