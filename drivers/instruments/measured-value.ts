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

const text = (value: number): string => String(Number(value.toPrecision(7)));

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
  if (!Number.isFinite(said.value)) {
    return err(
      fault("device", "not-a-number", `${name} gives no valid ${quantity} (it answers "not a number" or infinity).`, {
        means: "There is no value.",
        remedy: "Look at its display: it may be over range, warming up or without a sensor.",
      }),
    );
  }
  if (said.value !== 0 && Math.abs(said.value) < 1.17549435e-38) {
    return err(
      fault("device", "not-a-number", `${name} gives ${said.value} ${said.unit}, smaller than any true ${quantity}.`, {
        means: "Two unrelated registers were read as one number.",
        remedy: "Check the address and the word order in the profile.",
      }),
    );
  }
  const value = toInternal(quantity, said.value, said.unit);
  if (value === null) throw new Error(`"${said.unit}" is no unit of ${quantity}`);
  const unit = INTERNAL_UNIT[quantity];
  if (range !== undefined) {
    const margin = BEYOND * (range.upper - range.lower);
    if (value < range.lower - margin || value > range.upper + margin) {
      return err(
        fault(
          "device",
          "out-of-range",
          `${name} gives ${text(value)} ${unit}; its range is ${text(range.lower)} to ${text(range.upper)} ${unit}.`,
          {
            means: "The value does not count.",
            remedy: "Check the pressure or current itself, then range, unit and word order of the instrument.",
          },
        ),
      );
    }
  }
  // Minus zero is zero.
  return ok(value + 0);
};
