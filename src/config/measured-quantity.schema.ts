import { z } from "zod";
import {
  currentField,
  currentUncertaintyField,
  dayField,
  humidityField,
  pressureField,
  pressureModeField,
  temperatureDifferenceField,
  temperatureField,
  toleranceField,
  widthField,
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
      route: z
        .enum(["national-institute", "accredited-laboratory", "other-with-evidence"])
        .optional()
        .describe("why that may be relied on (ILAC-P10:07/2020); printed where it is stated"),
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

/** What an instrument may do besides its certificate; each is a limit, either way, and goes into the uncertainty. */
const drift = <L extends z.ZodType>(limit: L) =>
  z
    .strictObject({
      limit,
      known_from: z.string().min(1).describe("where the limit is known from, such as the last three certificates"),
    })
    .optional()
    .describe("drift since its calibration; not in the uncertainty if left out");

const temperatureEffect = <L extends z.ZodType>(per_kelvin: L) =>
  z
    .strictObject({
      per_kelvin,
      difference: temperatureDifferenceField().describe(
        "largest distance from the temperature of its calibration during a run",
      ),
    })
    .optional()
    .describe("effect of temperature, which is not corrected; not in the uncertainty if left out");

const largestDrift = "largest drift since its calibration, either way";
const largestPerKelvin = "largest effect for each kelvin, either way";

export const measuredFields = {
  pressure: z
    .strictObject({
      lower: pressureField().describe("lower end of its range"),
      upper: pressureField().describe("upper end of its range"),
      mode: pressureModeField(),
      resolution: pressureField().optional().describe("display digit"),
      certificate: certificate(toleranceField().describe(expanded), pressureField(), pressureField()).optional(),
      drift: drift(toleranceField().describe(largestDrift)),
      temperature_effect: temperatureEffect(toleranceField().describe(largestPerKelvin)),
      hysteresis: widthField().optional().describe("largest difference between its own rising and falling indication"),
      position_effect: widthField()
        .optional()
        .describe("largest effect of its position, either way, when it is mounted otherwise than it was calibrated"),
      zero_drift: widthField().optional().describe("largest change of its zero over a run, either way"),
      dial: z
        .strictObject({
          division: pressureField().describe("value of one division"),
          readable_share: z
            .number()
            .gt(0)
            .max(1)
            .default(0.2)
            .describe("share of a division to which the needle can be placed, either way; common practice, no source"),
        })
        .optional()
        .describe("a dial that a person reads; it takes the place of the resolution in the uncertainty"),
    })
    .optional()
    .describe("the pressure it measures"),
  current: z
    .strictObject({
      lower: currentField().describe("lower end of its range"),
      upper: currentField().describe("upper end of its range"),
      resolution: currentField().optional().describe("display digit, or setting step of a source"),
      certificate: certificate(currentUncertaintyField().describe(expanded), currentField(), currentField()).optional(),
      drift: drift(currentUncertaintyField().describe(largestDrift)),
      temperature_effect: temperatureEffect(currentUncertaintyField().describe(largestPerKelvin)),
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
  humidity: z
    .strictObject({
      lower: humidityField().describe("lower end of its range"),
      upper: humidityField().describe("upper end of its range"),
      resolution: humidityField().optional().describe("display digit"),
      certificate: certificate(humidityField().describe(expanded), humidityField(), humidityField()).optional(),
    })
    .optional()
    .describe("the relative humidity it measures"),
  air_pressure: z
    .strictObject({
      lower: pressureField().describe("lower end of its range, absolute"),
      upper: pressureField().describe("upper end of its range, absolute"),
      resolution: pressureField().optional().describe("display digit"),
      certificate: certificate(pressureField().describe(expanded), pressureField(), pressureField()).optional(),
    })
    .optional()
    .describe("the pressure of the air in the room that it measures, absolute"),
};

const measured = z.strictObject(measuredFields);
type Measured = z.output<typeof measured>;

export type MeasuredPressure = NonNullable<Measured["pressure"]>;
export type MeasuredCurrent = NonNullable<Measured["current"]>;
export type MeasuredTemperature = NonNullable<Measured["temperature"]>;
export type MeasuredHumidity = NonNullable<Measured["humidity"]>;
export type MeasuredAirPressure = NonNullable<Measured["air_pressure"]>;
export type ReferenceCertificate = NonNullable<
  (MeasuredPressure | MeasuredCurrent | MeasuredTemperature | MeasuredHumidity | MeasuredAirPressure)["certificate"]
>;
