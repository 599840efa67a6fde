import { z } from "zod";
import type { FileSource } from "./file-fault.ts";
import { measuredFields } from "./measured-quantity.schema.ts";
import { currentField, durationField, lengthField, nameField, pressureField } from "./quantity-fields.ts";

/** The bench: links, instruments with their reference certificates, stations and limits. */

const linkTiming = {
  answer_deadline: durationField().prefault("500 ms").describe("longest time an instrument may take to answer"),
  quiet_after_trouble: durationField()
    .prefault("500 ms")
    .describe("silence kept after a late or broken answer; longer than the slowest answer of any instrument here"),
};

const linkSchema = z
  .discriminatedUnion("kind", [
    z.strictObject({
      kind: z.literal("serial").describe("a serial line, RS-232 or RS-485"),
      port: z
        .string()
        .min(1)
        .describe("path or name of the port, `adapter:SERIAL` for an adapter by its serial number, or `simulated`"),
      baud: z.number().int().min(300).max(921600).default(9600).describe("speed, bit/s"),
      parity: z.enum(["none", "even", "odd"]).default("even").describe("parity bit"),
      data_bits: z.literal([7, 8]).default(8).describe("data bits in a character"),
      stop_bits: z.literal([1, 2]).default(1).describe("stop bits after a character"),
      ...linkTiming,
    }),
    z.strictObject({
      kind: z.literal("tcp").describe("Modbus TCP, or text lines over TCP"),
      host: z.string().min(1).describe("host name or address, or `simulated`"),
      port: z.number().int().min(1).max(65535).default(502).describe("TCP port"),
      ...linkTiming,
    }),
  ])
  .describe("one line; which further keys it has depends on its kind");

const instrument = z
  .strictObject({
    driver: z.string().min(1).describe("driver name, as `stillpoint drivers` lists them"),
    profile: z.string().min(1).optional().describe("register or line profile: its name, or the path of a profile file"),
    link: nameField().optional().describe("link it hangs on"),
    address: z
      .number()
      .int()
      .min(1)
      .max(255)
      .optional()
      .describe("unit address on the link; 1 to 247 on a serial line"),
    serial_number: z.string().min(1).describe("serial number; compared with what the instrument says"),
    ...measuredFields,
  })
  .describe("one instrument, and what it measures or drives");

const station = z
  .strictObject({
    source: nameField().describe("current source"),
    gauge: nameField().describe("pressure gauge that is the reference"),
    supply_gauge: nameField().optional().describe("gauge on the supply air"),
    current_meter: nameField().optional().describe("meter that reads the loop current back by itself"),
    ambient: nameField().optional().describe("ambient thermometer"),
    humidity: nameField().optional().describe("hygrometer of the room"),
    barometer: nameField().optional().describe("barometer of the room"),
    height_difference: lengthField()
      .optional()
      .describe(
        "height between the reference level of the gauge and the outlet of the unit, at most; the gas column counts as a limit and is not corrected; `0 m` when they are level",
      ),
  })
  .describe("a place where one unit is mounted, and the instruments that serve it");

const simulationSchema = z
  .strictObject({
    seed: z.number().int().min(0).default(1).describe("seed of every random part"),
    converter: z
      .strictObject({
        zero_error: z.number().default(0).describe("% of span"),
        span_error: z.number().default(0).describe("% of span"),
        bow: z.number().default(0).describe("mid-scale non-linearity, % of span"),
        hysteresis: z.number().min(0).default(0).describe("loop width, % of span"),
        dead_band: z.number().min(0).default(0).describe("% of span"),
        creep: z.number().default(0).describe("share of a step that creeps in late"),
        response: z.number().min(0.05).default(0.8).describe("main time constant, s"),
        tubing: z.number().min(0.01).default(0.2).describe("time constant of tubing and gauge volume, s"),
        leak: z.number().min(0).default(0).describe("% of span per minute at full output"),
      })
      .prefault({})
      .describe("the converter on the simulated bench"),
    gauge_noise: z.number().min(0).default(0.003).describe("standard deviation, % of span"),
    gauge_offset: z.number().default(0).describe("% of span"),
    supply: pressureField().optional().describe("supply pressure; the unit's nominal supply if left out"),
  })
  .describe("what the simulated bench is made of; its presence marks everything as SIMULATED");

export const benchFileSchema = z
  .strictObject({
    format: z.literal("stillpoint-bench 1").describe("the kind of file and its version"),
    name: z.string().min(1).describe("name of the bench, as it stands in the record"),
    site: z.string().min(1).optional().describe("where the work is done, if not at the laboratory's address"),
    database: z
      .string()
      .regex(/^postgres(?:ql)?:\/\/[^:@/]+@[^@]+$/u, "Write postgres://LOGIN@HOST/DATABASE, without a password.")
      .optional()
      .describe(
        "shared database that finished runs are sent to, `postgres://LOGIN@HOST/DATABASE`, never with a password",
      ),
    links: z.record(nameField(), linkSchema).default({}).describe("the lines that instruments hang on, by name"),
    instruments: z.record(nameField(), instrument).describe("the instruments, by name"),
    stations: z.record(nameField(), station).describe("the stations, by name"),
    limits: z
      .strictObject({
        current: z
          .strictObject({
            lower: currentField().prefault("0 mA").describe("lowest current that may ever be commanded"),
            upper: currentField().describe("highest current that may ever be commanded"),
          })
          .describe("what the source may be told to drive"),
        pressure: pressureField().describe("lowest rated maximum of hose, fittings, reference and regulator, gauge"),
      })
      .describe("what no run may exceed"),
    simulation: simulationSchema.optional(),
  })
  .describe("Stillpoint bench file");

/** `source` tells where each part was written, for messages; absent when the bench did not come from a text. */
export type BenchFile = z.output<typeof benchFileSchema> & { readonly source?: FileSource };
export type LinkSettings = z.output<typeof linkSchema>;
export type InstrumentSettings = z.output<typeof instrument>;
export type StationSettings = z.output<typeof station>;
