import { z } from "zod";
import {
  currentField,
  currentUncertaintyField,
  dayField,
  pressureField,
  pressureModeField,
  temperatureDifferenceField,
  temperatureField,
  toleranceField,
} from "./quantity-fields.ts";

/**
 * What an instrument measures or drives: range, resolution and reference certificate, one set a quantity, because a
 * meter of three quantities has three calibrations.
 */

const certificate = <U extends z.ZodType, At extends z.ZodType, Add extends z.ZodType>(
  uncertainty: U,
  at: At,
  add: Add,
) =>
  z
    .strictObject({
      number: z.string().min(1).describe("number of the certificate"),
      laboratory: z.string().min(1).describe("who calibrated the reference"),
      date: dayField().describe("day of calibration"),
      due: dayField().describe("last day on which the reference may be used"),
      U: uncertainty,
      k: z.number().min(1).max(4).describe("coverage factor of U"),
      corrections: z
        .array(
          z.strictObject({
            at: at.describe("indication at which the correction holds"),
            add: add.describe("what is added to that indication"),
          }),
        )
        .default([])
        .describe("corrections in rising order, interpolated linearly; the outer ones hold beyond the ends"),
    })
    .describe("certificate of the last calibration");

const expanded = "expanded uncertainty of a corrected indication";

export const measuredFields = {
  pressure: z
    .strictObject({
      lower: pressureField().describe("lower end of its range"),
      upper: pressureField().describe("upper end of its range"),
      mode: pressureModeField(),
      resolution: pressureField().optional().describe("display digit"),
      certificate: certificate(toleranceField().describe(expanded), pressureField(), pressureField()).optional(),
    })
    .optional()
    .describe("the pressure it measures"),
  current: z
    .strictObject({
      lower: currentField().describe("lower end of its range"),
      upper: currentField().describe("upper end of its range"),
      resolution: currentField().optional().describe("display digit, or setting step of a source"),
      certificate: certificate(currentUncertaintyField().describe(expanded), currentField(), currentField()).optional(),
    })
    .optional()
    .describe("the current it measures or drives"),
  temperature: z
    .strictObject({
      lower: temperatureField().describe("lower end of its range"),
      upper: temperatureField().describe("upper end of its range"),
      resolution: temperatureDifferenceField().optional().describe("display digit"),
      certificate: certificate(
        temperatureDifferenceField().describe(expanded),
        temperatureField(),
        temperatureDifferenceField(),
      ).optional(),
    })
    .optional()
    .describe("the temperature it measures"),
};

const measured = z.strictObject(measuredFields);
type Measured = z.output<typeof measured>;

export type MeasuredPressure = NonNullable<Measured["pressure"]>;
export type MeasuredCurrent = NonNullable<Measured["current"]>;
export type MeasuredTemperature = NonNullable<Measured["temperature"]>;
export type ReferenceCertificate = NonNullable<
  (MeasuredPressure | MeasuredCurrent | MeasuredTemperature)["certificate"]
>;
