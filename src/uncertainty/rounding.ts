/**
 * Rounding for print, on decimal text and never on binary fractions: (1.005).toFixed(2) gives 1.00 and
 * (0.015).toPrecision(1) gives 0.01. A number is taken as its shortest decimal text that reads back as the same number.
 *
 * Rules: an uncertainty has at most two significant digits and the value goes to the same place (JCGM 100:2008, 7.2.6;
 * ILAC-P14:09/2020, 5.3). An uncertainty is never lowered by more than 5 % (EA-4/02, from memory): then it is rounded up.
 * A tie goes to the even digit. Text for data: a point as the decimal mark, an ASCII minus, no "-0.00".
 */
export interface RoundedUncertainty {
  readonly text: string;
  /** Power of ten of the last digit: -2 means hundredths. */
  readonly place: number;
}

/** |value| = digits x 10^exponent, without leading zeros; zero is 0 x 10^0. */
interface Decimal {
  readonly negative: boolean;
  readonly digits: bigint;
  readonly exponent: number;
}

const decimalOf = (value: number): Decimal => {
  if (!Number.isFinite(value)) throw new RangeError(`only a finite number can be rounded, not ${value}`);
  const [mantissa = "0", power = "0"] = Math.abs(value).toExponential().split("e");
  const [whole = "0", fraction = ""] = mantissa.split(".");
  return { negative: value < 0, digits: BigInt(whole + fraction), exponent: Number(power) - fraction.length };
};

const tenTo = (power: number): bigint => 10n ** BigInt(power);

/** digits x 10^-drop, half to even, as a whole number. */
const halfToEven = (digits: bigint, drop: number): bigint => {
  const unit = tenTo(drop);
  const whole = digits / unit;
  const twice = 2n * (digits % unit);
  if (twice > unit || (twice === unit && whole % 2n === 1n)) return whole + 1n;
  return whole;
};

/** digits x 10^place as plain decimal text. */
const plainText = (negative: boolean, digits: bigint, place: number): string => {
  const sign = negative && digits !== 0n ? "-" : "";
  if (place >= 0) return `${sign}${digits * tenTo(place)}`;
  const padded = digits.toString().padStart(1 - place, "0");
  return `${sign}${padded.slice(0, place)}.${padded.slice(place)}`;
};

/**
 * An uncertainty with `digits` significant digits. It is rounded up when the nearest value would lower it by more than
 * `largest_lowering` (a share, 0.05 unless told). 0.0996 with two digits is 0.10, at hundredths.
 *
 * @throws RangeError when the uncertainty is not a positive finite number
 */
export const roundUncertainty = (
  u_expanded: number,
  digits: 1 | 2 = 2,
  largest_lowering = 0.05,
): RoundedUncertainty => {
  if (!(u_expanded > 0)) throw new RangeError(`an uncertainty to be rounded is above zero, not ${u_expanded}`);
  const decimal = decimalOf(u_expanded);
  const surplus = decimal.digits.toString().length - digits;
  let place = decimal.exponent + surplus;
  let kept = surplus <= 0 ? decimal.digits * tenTo(-surplus) : halfToEven(decimal.digits, surplus);
  if (surplus > 0) {
    const lowered = decimal.digits - kept * tenTo(surplus);
    if (lowered > 0n && Number(lowered) > largest_lowering * Number(decimal.digits)) kept += 1n;
  }
  if (kept === tenTo(digits)) {
    kept /= 10n;
    place += 1;
  }
  return { text: plainText(false, kept, place), place };
};

/** `value` at 10^place, half to even: roundToPlace(10.05762, -3) is "10.058". Throws RangeError on a non-finite value. */
export const roundToPlace = (value: number, place: number): string => {
  const decimal = decimalOf(value);
  const drop = place - decimal.exponent;
  const digits = drop <= 0 ? decimal.digits * tenTo(-drop) : halfToEven(decimal.digits, drop);
  return plainText(decimal.negative, digits, place);
};
