import { z } from "zod";

/**
 * What is kept of a run for ever: one event for each thing that happened, in order. The record is append-only; a
 * correction is another event. Names carry their unit. Version 1.
 */
export const RECORD_FORMAT = "stillpoint-record 1";

const stage = z.enum(["as-found", "as-left"]);
const direction = z.enum(["rising", "falling"]);
const screw = z.enum(["zero", "span"]);
const faultRecord = z.object({
  kind: z.string(),
  code: z.string(),
  message: z.string(),
  means: z.string().optional(),
  remedy: z.string().optional(),
});

const point = z.object({
  stage,
  ordinal: z.number(),
  cycle: z.number(),
  direction,
  nominal_percent: z.number(),
  nominal_mA: z.number(),
});

const verdict = z.object({
  kind: z.string(),
  /** Everything the settling rule said, as it said it. Percent of output span and seconds. */
  said: z.record(z.string(), z.union([z.string(), z.number(), z.null()])),
});

const samples = z.object({
  at_s: z.array(z.number()),
  pressure_kPa: z.array(z.number().nullable()),
});

export const runEventSchema = z.discriminatedUnion("kind", [
  z.object({
    kind: z.literal("run-started"),
    format: z.literal(RECORD_FORMAT),
    run_id: z.string(),
    software_version: z.string(),
    operator: z.string(),
    simulated: z.boolean(),
    /** Texts of the files as they were used, and the SHA-256 of each. */
    files: z.array(
      z.object({
        role: z.enum(["bench", "unit", "laboratory"]),
        name: z.string(),
        sha256: z.string(),
        text: z.string(),
      }),
    ),
    station: z.string(),
    /** The whole test plan as it was agreed before the first output. */
    plan: z.unknown(),
    /** The decision rule agreed before the first reading. */
    decision_rule: z.string(),
    clock: z.enum(["wall", "accelerated", "virtual"]),
    clock_factor: z.number(),
  }),
  z.object({
    kind: z.literal("instrument-identified"),
    role: z.string(),
    name: z.string(),
    maker: z.string(),
    model: z.string(),
    serial_number: z.string(),
    simulated: z.boolean(),
  }),
  z.object({
    kind: z.literal("preflight-check"),
    check: z.string(),
    outcome: z.enum(["passed", "failed", "skipped"]),
    saw: z.string(),
    means: z.string().optional(),
    remedy: z.string().optional(),
    overridden_by: z.object({ name: z.string(), reason: z.string() }).optional(),
  }),
  z.object({ kind: z.literal("cautions-accepted"), by: z.string() }),
  z.object({
    kind: z.literal("stage-started"),
    stage: z.enum(["preflight", "exercise", "as-found", "adjusting", "as-left"]),
  }),
  z.object({ kind: z.literal("point-started"), point }),
  z.object({ kind: z.literal("commanded"), current_mA: z.number(), confirmed_mA: z.number() }),
  z.object({ kind: z.literal("approach-repeated"), point, overshoot_percent: z.number() }),
  z.object({ kind: z.literal("exercised"), to_percent: z.number(), held_s: z.number() }),
  z.object({
    kind: z.literal("point-captured"),
    point,
    /** Mean of the captured readings of the output, kPa in the gauge's mode. */
    output_kPa: z.number(),
    /** Standard deviation of the captured readings, kPa. */
    spread_kPa: z.number(),
    n: z.number(),
    n_effective: z.number(),
    /** Standard uncertainty of the mean, with what is still to come, kPa. */
    u_settling_kPa: z.number(),
    /** Mean loop current by the independent meter over the capture; null when the station has none. */
    measured_mA: z.number().nullable(),
    /** What the source said it commanded. */
    commanded_mA: z.number(),
    supply_kPa: z.number().nullable(),
    ambient_degC: z.number().nullable(),
    /** Repeats of a value the gauge had not renewed, outliers and missed polls in the window; none of them is in the mean. */
    n_stale: z.number().optional(),
    n_outliers: z.number().optional(),
    n_missed: z.number().optional(),
    settle_time_s: z.number(),
    approach: z.enum(["clean", "overshot"]),
    verdict,
    samples,
  }),
  z.object({ kind: z.literal("point-not-settled"), point, fault: faultRecord, verdict, samples }),
  z.object({ kind: z.literal("stage-completed"), stage }),
  z.object({
    kind: z.literal("screw-turned"),
    screw,
    at_percent: z.number(),
    at_mA: z.number(),
    target_kPa: z.number(),
    before_kPa: z.number(),
    after_kPa: z.number(),
  }),
  z.object({
    /** A settled reading taken while adjusting; guides the screws and is no result. */
    kind: z.literal("adjustment-reading"),
    at_percent: z.number(),
    at_mA: z.number(),
    output_kPa: z.number(),
    u_settling_kPa: z.number(),
  }),
  z.object({
    kind: z.literal("adjustment-ended"),
    outcome: z.enum(["within-aim", "not-needed", "impossible", "given-up"]),
    why: z.string(),
    rounds: z.number(),
  }),
  z.object({ kind: z.literal("learned"), what: z.array(z.string()) }),
  z.object({ kind: z.literal("trouble"), fault: faultRecord }),
  z.object({
    kind: z.literal("source-left"),
    outcome: z.enum(["safe", "unknown"]),
    current_mA: z.number().nullable(),
    reason: z.string().optional(),
  }),
  z.object({
    kind: z.literal("run-ended"),
    ending: z.enum(["finished", "stopped", "fault"]),
    fault: faultRecord.optional(),
  }),
]);

export type RunEvent = z.infer<typeof runEventSchema>;
export type RunEventOf<K extends RunEvent["kind"]> = Extract<RunEvent, { kind: K }>;
export type PointRecord = z.infer<typeof point>;

/** An event with its place and time: `at_s` on the run's clock since its start, `utc` as ISO 8601. */
export const recordedEventSchema = z.object({
  seq: z.number().int(),
  at_s: z.number(),
  utc: z.string(),
  event: runEventSchema,
});
export type RecordedEvent = z.infer<typeof recordedEventSchema>;
