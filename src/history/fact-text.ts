import { z } from "zod";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { isDay } from "./calendar-days.ts";
import type { CalibrationFact } from "./calibration-fact.ts";

/** A fact as the JSON that a store keeps beside its run. What a later version adds has to be optional here. */

const day = z.string().refine(isDay);

const stage = z.object({
  points: z.array(
    z.object({
      nominal_percent: z.number(),
      direction: z.enum(["rising", "falling"]),
      error_percent_span: z.number(),
      U_percent_span: z.number().nullable(),
      k: z.number().nullable(),
      limit_percent_span: z.number(),
      clipped: z.boolean(),
    }),
  ),
  zero_error_percent_span: z.number().nullable(),
  span_error_percent_span: z.number().nullable(),
  verdict: z.string(),
});

const factSchema: z.ZodType<CalibrationFact> = z.object({
  run_id: z.string(),
  date: day,
  unit: z.object({
    maker: z.string(),
    model: z.string(),
    serial_number: z.string(),
    tag: z.string().nullable(),
    customer: z.string().nullable(),
  }),
  range: z.string(),
  simulated: z.boolean(),
  finished: z.boolean(),
  as_found: stage.nullable(),
  as_left: stage.nullable(),
  adjusted: z.boolean(),
  references: z.array(z.object({ name: z.string(), serial_number: z.string(), certificate: z.string(), due: day })),
  interval_months: z.number(),
});

export const parseFact = (text: string): Result<CalibrationFact, Fault> => {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    json = null;
  }
  const parsed = factSchema.safeParse(json);
  return parsed.success
    ? ok(parsed.data)
    : err(
        fault("record", "record-damaged", "What is kept of a calibration for the history cannot be read.", {
          means: "Its unit has a gap in its history.",
          remedy: "Work it out again from the record of the run.",
        }),
      );
};
