import { z } from "zod";
import {
  currentField,
  dayField,
  durationField,
  pressureField,
  temperatureField,
  toleranceField,
} from "./quantity-fields.ts";

/** The bench: links, instruments with their reference certificates, stations and limits. */

const name = z.string().regex(/^[a-z][a-z0-9-]*$/, "use lower-case letters, digits and hyphens, such as gauge-1");

const linkTiming = {
  answer_deadline: durationField().prefault("500 ms").describe("longest time an instrument may take to answer"),
  quiet_after_trouble: durationField()
    .prefault("500 ms")
    .describe(
      "silence kept after a late or broken answer, longer than the slowest answer of any instrument on the link",
    ),
};

export const linkSchema = z.discriminatedUnion("kind", [
  z.strictObject({
    kind: z.literal("serial"),
    port: z
      .string()
      .min(1)
      .describe("path or name of the port, `adapter:SERIAL` for an adapter by its serial number, or `simulated`"),
    baud: z.number().int().min(300).max(921600).default(9600).describe("speed, bit/s"),
    parity: z.enum(["none", "even", "odd"]).default("even"),
    data_bits: z.union([z.literal(7), z.literal(8)]).default(8),
    stop_bits: z.union([z.literal(1), z.literal(2)]).default(1),
    ...linkTiming,
  }),
  z.strictObject({
    kind: z.literal("tcp"),
    host: z.string().min(1).describe("host name or address, or `simulated`"),
    port: z.number().int().min(1).max(65535).default(502),
    ...linkTiming,
  }),
]);

const correction = z.strictObject({
  at: z.union([pressureField(), currentField()]).describe("indication at which the correction holds"),
  add: z.union([pressureField(), currentField()]).describe("what is added to the indication"),
});

export const referenceCertificateSchema = z.strictObject({
  number: z.string().min(1),
  laboratory: z.string().min(1).describe("who calibrated the reference"),
  date: dayField().describe("day of calibration"),
  due: dayField().describe("day after which the reference may not be used"),
  U: z
    .union([toleranceField(), currentField(), temperatureField()])
    .describe("expanded uncertainty, such as `0.02 kPa`"),
  k: z.number().min(1).max(4).describe("coverage factor of U"),
  corrections: z
    .array(correction)
    .default([])
    .describe("corrections, interpolated linearly between the given indications"),
});

const instrument = z.strictObject({
  driver: z.string().min(1).describe("driver name, as `stillpoint drivers` lists them"),
  profile: z.string().min(1).optional().describe("register or line profile, a name from drivers/profiles or a file"),
  link: name.optional().describe("link it hangs on"),
  address: z.number().int().min(1).max(247).optional().describe("unit address on the link"),
  serial_number: z.string().min(1).describe("serial number; asserted against what the instrument says"),
  range: z
    .strictObject({
      lower: z.union([pressureField(), currentField(), temperatureField()]),
      upper: z.union([pressureField(), currentField(), temperatureField()]),
    })
    .optional()
    .describe("range it covers"),
  mode: z.enum(["gauge", "absolute", "differential"]).optional().describe("what a pressure is measured against"),
  resolution: z.union([pressureField(), currentField(), temperatureField()]).optional().describe("display digit"),
  certificate: referenceCertificateSchema.optional(),
});

const station = z.strictObject({
  source: name.describe("current source"),
  gauge: name.describe("pressure gauge that is the reference"),
  supply_gauge: name.optional(),
  current_meter: name.optional().describe("meter that reads the loop current back"),
  ambient: name.optional().describe("ambient thermometer"),
});

export const simulationSchema = z
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
      .prefault({}),
    gauge_noise: z.number().min(0).default(0.003).describe("standard deviation, % of span"),
    gauge_offset: z.number().default(0).describe("% of span"),
    supply: pressureField().optional().describe("supply pressure; the unit's nominal supply if left out"),
  })
  .describe("what the simulated bench is made of; its presence marks everything as SIMULATED");

export const benchFileSchema = z
  .strictObject({
    format: z.literal("stillpoint-bench 1").describe("the kind of file and its version"),
    name: z.string().min(1),
    site: z.string().min(1).optional().describe("where the bench stands"),
    links: z.record(name, linkSchema).default({}),
    instruments: z.record(name, instrument),
    stations: z.record(name, station),
    limits: z.strictObject({
      current: z.strictObject({ lower: currentField().prefault("0 mA"), upper: currentField() }),
      pressure: pressureField().describe("lowest rated maximum of hose, fittings, reference and regulator"),
    }),
    simulation: simulationSchema.optional(),
  })
  .describe("Stillpoint bench file");

export type BenchFile = z.output<typeof benchFileSchema>;
export type LinkSettings = z.output<typeof linkSchema>;
export type InstrumentSettings = z.output<typeof instrument>;
export type StationSettings = z.output<typeof station>;
export type SimulationSettings = z.output<typeof simulationSchema>;
export type ReferenceCertificate = z.output<typeof referenceCertificateSchema>;
