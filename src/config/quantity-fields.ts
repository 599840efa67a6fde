import { z } from "zod";
import { parseQuantityOf, type QuantityKind, type QuantityOf } from "../vocabulary/quantity-text.ts";

/** A YAML field that holds quantity text; the parsed form keeps the text and the value in the internal unit. */
const field = <K extends QuantityKind>(
  kinds: readonly [K, ...K[]],
  title: string,
  examples: readonly [string, ...string[]],
) =>
  z
    .string()
    .transform((text, context): QuantityOf<K> => {
      const parsed = parseQuantityOf(kinds, text);
      if (parsed.ok) return parsed.value;
      const { message, remedy } = parsed.fault;
      context.issues.push({ code: "custom", message, params: { remedy }, input: text });
      return z.NEVER;
    })
    .meta({ title, examples: [...examples] });

export const pressureField = () => field(["pressure"], "pressure", ["3 psi"]);
export const currentField = () => field(["current"], "current", ["4 mA"]);
export const humidityField = () => field(["humidity"], "relative humidity", ["45 %RH"]);
export const temperatureField = () => field(["temperature"], "temperature", ["20 degC"]);
export const temperatureDifferenceField = () => field(["temperature-difference"], "temperature difference", ["0.2 K"]);
export const lengthField = () => field(["length"], "length", ["0.3 m"]);
export const durationField = () => field(["duration"], "duration", ["30 s"]);

/** A tolerance or uncertainty of a pressure: a pressure, or a percentage that says of what. */
export const toleranceField = () =>
  field(["percent-of-span", "percent-of-reading", "pressure"], "percentage or pressure", ["0.5 %span", "0.05 psi"]);

/** A width or limit that is the same over the whole range of an instrument. */
export const widthField = () =>
  field(["pressure", "percent-of-span"], "pressure or percentage of span", ["0.01 kPa", "0.01 %span"]);

/** An uncertainty of a current: a current, or a percentage that says of what. */
export const currentUncertaintyField = () =>
  field(["current", "percent-of-reading", "percent-of-span"], "current or percentage", ["0.002 mA", "0.01 %reading"]);

/** Calendar day, as ISO 8601 `2026-03-01`. */
export const dayField = () => z.iso.date().meta({ title: "day", examples: ["2026-03-01"] });

/** A name that other parts of the file refer to. */
export const nameField = () =>
  z
    .string()
    .regex(/^[a-z][a-z0-9-]*$/, "A name is made of lower-case letters, digits and hyphens, such as gauge-1.")
    .meta({ title: "name", examples: ["gauge-1"] });

export const pressureModeField = () =>
  z.enum(["gauge", "absolute", "differential"]).default("gauge").describe("what the pressure is measured against");
