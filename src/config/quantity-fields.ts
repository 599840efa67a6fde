import { z } from "zod";
import { parseQuantityOf, type Quantity, type QuantityKind, type QuantityOf } from "../vocabulary/quantity-text.ts";

/** A YAML field that holds quantity text; the parsed form keeps the text and the value in the internal unit. */
const field = <K extends QuantityKind>(kind: K, example: string) =>
  z
    .string()
    .describe(`quantity text, such as \`${example}\``)
    .transform((text, context): QuantityOf<K> => {
      const parsed = parseQuantityOf(kind, text);
      if (parsed.ok) return parsed.value;
      context.issues.push({ code: "custom", message: parsed.fault, input: text });
      return z.NEVER;
    });

export const pressureField = () => field("pressure", "3 psi");
export const currentField = () => field("current", "4 mA");
export const temperatureField = () => field("temperature", "20 degC");
export const durationField = () => field("duration", "30 s");

/** A tolerance or uncertainty: a pressure, or a percentage that says of what. */
export const toleranceField = () =>
  z
    .string()
    .describe("quantity text, such as `0.5 %span`, `0.05 psi` or `0.1 %reading`")
    .transform((text, context): Extract<Quantity, { kind: "pressure" | "percent-of-span" | "percent-of-reading" }> => {
      for (const kind of ["percent-of-span", "percent-of-reading", "pressure"] as const) {
        const parsed = parseQuantityOf(kind, text);
        if (parsed.ok) return parsed.value;
      }
      const parsed = parseQuantityOf("percent-of-span", text);
      context.issues.push({ code: "custom", message: parsed.ok ? "unreadable" : parsed.fault, input: text });
      return z.NEVER;
    });

/** Calendar day, as ISO 8601 `2026-03-01`. */
export const dayField = () => z.iso.date("write the day as YYYY-MM-DD");
