import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";
import type { Said } from "./dialect.ts";
import { type MeterQuantity, toInternal } from "./unit-conversion.ts";

/** What an instrument can measure or drive, in the internal unit of its quantity. */
export interface Range {
  readonly lower: number;
  readonly upper: number;
}

const INTERNAL_UNIT: Readonly<Record<MeterQuantity, string>> = {
  pressure: "kPa",
  current: "mA",
  temperature: "degC",
  humidity: "%RH",
  duration: "s",
};

/**
 * An instrument still measures a little beyond the ends of its range, and a vented gauge shows a little less than
 * nothing: share of the range that is let through at each end. Common practice, no source.
 */
const BEYOND = 0.05;

/** Share of the range under which a number other than zero is no measurement but words in the wrong order. */
const NOTHING = 1e-12;

/** Smallest normal number of 32 bits (IEEE 754). */
const SMALLEST = 1.17549435e-38;

const text = (value: number): string => String(Number(value.toPrecision(7)));

/** The range with what an instrument still measures beyond it. */
const widened = ({ lower, upper }: Range): Range => {
  const margin = BEYOND * (upper - lower);
  return { lower: lower - margin, upper: upper + margin };
};

const isInside = (value: number, { lower, upper }: Range): boolean => value >= lower && value <= upper;

/** An order of words under which the same registers would be a value inside the range: a hint for whoever looks. */
const orderHint = (quantity: MeterQuantity, said: Said, range: Range | undefined): string => {
  const fitting = (said.otherwise ?? []).flatMap(({ order, value }) => {
    const internal =
      Number.isFinite(value) && Math.abs(value) > SMALLEST ? toInternal(quantity, value, said.unit) : null;
    const fits =
      internal !== null && (range === undefined ? Math.abs(internal) < 1e6 : isInside(internal, widened(range)));
    // Small numbers fit every range; only one that can be seen says something.
    return fits && Math.abs(internal) > 1e-6
      ? [`${text(internal)} ${INTERNAL_UNIT[quantity]} with order ${order}`]
      : [];
  });
  return fitting.length === 0 ? "" : ` The same registers would be ${fitting.join(", or ")}.`;
};

/**
 * The number in the internal unit: finite, in a unit of the quantity, and within the range. A denormal is refused: it is
 * two unrelated registers read as one number.
 */
export const measuredValue = (
  name: string,
  quantity: MeterQuantity,
  said: Said,
  range: Range | undefined,
): Result<number, Fault> => {
  const refuse = (code: "not-a-number" | "out-of-range", message: string, means: string, remedy: string) =>
    err(fault("device", code, message, { means, remedy: remedy + orderHint(quantity, said, range) }));
  if (!Number.isFinite(said.value)) {
    return refuse(
      "not-a-number",
      `${name} gives no valid ${quantity} (it answers "not a number" or infinity).`,
      "There is no value.",
      "Look at its display: it may be over range, warming up or without a sensor.",
    );
  }
  if (said.value !== 0 && Math.abs(said.value) < SMALLEST) {
    return refuse(
      "not-a-number",
      `${name} gives ${said.value} ${said.unit}, smaller than any true ${quantity}.`,
      "Two unrelated registers were read as one number.",
      "Check the address in the profile, which may be off by one, and the word order.",
    );
  }
  const value = toInternal(quantity, said.value, said.unit);
  if (value !== null && value !== 0 && range !== undefined && Math.abs(value) < NOTHING * (range.upper - range.lower)) {
    return refuse(
      "not-a-number",
      `${name} gives ${said.value} ${said.unit}, far below anything it could show.`,
      "The value does not count.",
      "Check the word order and the address in the profile.",
    );
  }
  if (value === null) throw new Error(`"${said.unit}" is no unit of ${quantity}`);
  const unit = INTERNAL_UNIT[quantity];
  if (range !== undefined && !isInside(value, widened(range))) {
    return refuse(
      "out-of-range",
      `${name} gives ${text(value)} ${unit}; its range is ${text(range.lower)} to ${text(range.upper)} ${unit}.`,
      "The value does not count.",
      "Check the pressure or current itself, then range, unit and word order of the instrument.",
    );
  }
  // Minus zero is zero.
  return ok(value + 0);
};
