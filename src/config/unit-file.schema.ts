import { z } from "zod";
import type { FileSource } from "./file-fault.ts";
import {
  currentField,
  dayField,
  durationField,
  pressureField,
  pressureModeField,
  toleranceField,
} from "./quantity-fields.ts";

/** The unit under test: what it is, what it ought to do, and which two screws it has. */

const screw = z
  .strictObject({
    clockwise: z
      .enum(["raises", "lowers", "unknown"])
      .default("unknown")
      .describe("what a clockwise turn does to the output"),
  })
  .describe("one adjusting screw");

export const unitFileSchema = z
  .strictObject({
    format: z.literal("stillpoint-unit 1").describe("the kind of file and its version"),
    identity: z
      .strictObject({
        maker: z.string().min(1).describe("who made it"),
        model: z.string().min(1).describe("type or model designation"),
        serial_number: z.string().min(1).describe("serial number, or the laboratory's own mark"),
        tag: z.string().min(1).optional().describe("the owner's tag of the loop or machine"),
        customer: z.string().min(1).optional().describe("who owns it"),
        customer_contact: z.string().min(1).optional().describe("address, telephone or e-mail of the owner"),
        batch: z
          .string()
          .min(1)
          .optional()
          .describe("batch, delivery or order it came with, by which it is found again"),
        received: dayField().optional().describe("day of receipt, when it matters"),
        condition: z.string().min(1).optional().describe("condition on arrival, when it matters"),
      })
      .describe("which unit it is"),
    input: z
      .strictObject({
        lower: currentField().describe("current at the lower end"),
        upper: currentField().describe("current at the upper end"),
      })
      .describe("the current it takes; a split range is simply its part, such as 4 to 12 mA"),
    output: z
      .strictObject({
        lower: pressureField().describe("lower range value"),
        upper: pressureField().describe("upper range value"),
        mode: pressureModeField(),
      })
      .describe("what it ought to deliver"),
    action: z.enum(["direct", "reverse"]).default("direct").describe("direct: more current, more pressure"),
    characteristic: z.enum(["linear", "square-root"]).default("linear").describe("shape of the transfer"),
    tolerance: toleranceField().describe("greatest error allowed, either way"),
    tolerance_from: z.string().min(1).optional().describe("who set the tolerance, for the certificate"),
    supply: z
      .strictObject({
        nominal: pressureField().describe("rated supply pressure"),
        lower: pressureField().describe("lowest supply at which the unit is rated"),
        upper: pressureField().describe("highest supply that is allowed"),
      })
      .describe("supply air, gauge"),
    rated_maximum: pressureField().describe("highest pressure the unit may ever see at its output, gauge"),
    safe_current: currentField()
      .optional()
      .describe("current at which the unit is left; without it, the end of the input range with the lower pressure"),
    screws: z
      .strictObject({ zero: screw.prefault({}), span: screw.prefault({}) })
      .prefault({})
      .describe("the two adjusting screws"),
    mounting: z
      .enum(["upright", "any", "horizontal"])
      .default("upright")
      .describe("position of use, in which it is calibrated"),
    output_step: pressureField()
      .optional()
      .describe("smallest step that its output makes, when it is known; goes into the uncertainty"),
    settling_limit: durationField().optional().describe("longest time the unit may take to stand still"),
  })
  .describe("Stillpoint unit file");

/** `source` tells where each part was written, for messages; absent when the unit did not come from a text. */
export type UnitFile = z.output<typeof unitFileSchema> & { readonly source?: FileSource };
