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
  /** Bytes of each reading as they came, hexadecimal, or the text that was typed; null where the bench gave none. */
  raw: z.array(z.string().nullable()).optional(),
});

/** Where the settling rule was told that its wait begins: last command of the approach, way, ramp, least wait. */
const wait = z.object({
  at_s: z.number(),
  from_percent: z.number(),
  to_percent: z.number(),
  ramp_s: z.number().optional(),
  least_s: z.number().optional(),
});

const interplay = z.object({ ratio: z.number(), u: z.number() });

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
        /** `logo`: the picture on the letterhead, its bytes in Base64. */
        role: z.enum(["bench", "unit", "laboratory", "logo"]),
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
    /** The bench's own chain as it stood when this run was entered in it: the run vouches for all runs before it. */
    ledger: z.object({ bench_id: z.string(), head: z.string() }).optional(),
    /** When the screws are turned; records of earlier versions do not say. */
    adjust: z.enum(["never", "when-needed", "always"]).optional(),
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
    /** What the gauge showed of a vented output, where the check looked for that. */
    vented_kPa: z.number().optional(),
    overridden_by: z.object({ name: z.string(), reason: z.string() }).optional(),
  }),
  z.object({ kind: z.literal("cautions-accepted"), by: z.string() }),
  z.object({
    kind: z.literal("stage-started"),
    stage: z.enum(["preflight", "exercise", "as-found", "adjusting", "as-left", "examination"]),
  }),
  z.object({ kind: z.literal("point-started"), point }),
  z.object({ kind: z.literal("commanded"), current_mA: z.number(), confirmed_mA: z.number() }),
  z.object({ kind: z.literal("approach-repeated"), point, overshoot_percent: z.number() }),
  z.object({
    kind: z.literal("exercised"),
    to_percent: z.number(),
    held_s: z.number(),
    /** What the settling rule was shown of the stroke; left out where it was shown nothing. */
    wait: wait.optional(),
    samples: samples.optional(),
  }),
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
    /** Standard uncertainty for creep of the unit that goes on after the wait, as the settling rule learned it, kPa. */
    u_creep_kPa: z.number().optional(),
    /** Mean loop current by the independent meter over the capture; null when the station has none. */
    measured_mA: z.number().nullable(),
    /** What the source said it commanded. */
    commanded_mA: z.number(),
    supply_kPa: z.number().nullable(),
    ambient_degC: z.number().nullable(),
    /** Of the room, where the station has a hygrometer or a barometer. */
    humidity_percent: z.number().nullable().optional(),
    air_pressure_kPa: z.number().nullable().optional(),
    /** Repeats of a value the gauge had not renewed, outliers and missed polls in the window; none of them is in the mean. */
    n_stale: z.number().optional(),
    n_outliers: z.number().optional(),
    n_missed: z.number().optional(),
    settle_time_s: z.number(),
    approach: z.enum(["clean", "overshot"]),
    verdict,
    wait: wait.optional(),
    samples,
  }),
  z.object({
    kind: z.literal("point-not-settled"),
    point,
    fault: faultRecord,
    verdict,
    wait: wait.optional(),
    samples,
  }),
  z.object({ kind: z.literal("stage-completed"), stage }),
  z.object({
    kind: z.literal("screw-turned"),
    screw,
    at_percent: z.number(),
    at_mA: z.number(),
    target_kPa: z.number(),
    before_kPa: z.number(),
    after_kPa: z.number(),
    /** Zero of a range that begins at zero pressure: the pressures are the output continued below zero, by lift-off. */
    by: z.literal("lift-off").optional(),
  }),
  z.object({
    /**
     * Of a range that begins at zero pressure: the input at which the output begins to rise, found from below. In % of
     * output span, with the standard uncertainty of the search; the currents are those at that input.
     */
    kind: z.literal("lift-off-found"),
    stage: z.enum(["as-found", "adjusting", "as-left"]),
    input_percent: z.number(),
    u_percent: z.number(),
    commanded_mA: z.number(),
    measured_mA: z.number().nullable(),
    /** Lower range current less the current of lift-off: positive where the output lifts off early. */
    zero_error_mA: z.number(),
    zero_error_percent: z.number(),
    lag_s: z.number(),
    /** What the gauge shows while nothing flows. */
    floor_kPa: z.number(),
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
  z.object({
    /** As found is closed before the first turn: nothing is added to it any more. */
    kind: z.literal("as-found-frozen"),
    points: z.number(),
    /** Planned points without a reading, and why the work went on without them. */
    missing: z.number(),
    reason: z.string().optional(),
  }),
  z.object({
    /** What adjusting can do for the unit, said before the first turn. % of output span. */
    kind: z.literal("adjustment-outlook"),
    found_percent: z.number(),
    best_percent: z.number(),
    limit_percent: z.number(),
    can_pass: z.boolean(),
    wanted_lower_kPa: z.number(),
    wanted_upper_kPa: z.number(),
    words: z.string(),
  }),
  z.object({
    /** The hand did something else than it was asked for: another screw, both, too early, nothing at all. */
    kind: z.literal("hand-noticed"),
    at_percent: z.number(),
    what: z.string(),
  }),
  z.object({
    /** Share of its effect that each screw carries to the other end, with its standard uncertainty. */
    kind: z.literal("interplay-learned"),
    zero: interplay,
    span: interplay,
  }),
  z.object({
    /** A test that explains a unit begins. `plan` holds its steps. */
    kind: z.literal("examination-started"),
    test: z.string(),
    title: z.string(),
  }),
  z.object({
    /** Everything that was seen over one stretch of a test: times on the run's clock, inputs in % of output span. */
    kind: z.literal("trace-taken"),
    name: z.string(),
    begun_s: z.number(),
    from_percent: z.number(),
    to_percent: z.number(),
    /** Instant of the last command of the stretch. */
    commanded_s: z.number(),
    samples,
    /** Input at each sample where it moved during the stretch; else the whole stretch stands at `to_percent`. */
    input_percent: z.array(z.number()).optional(),
    supply: z.object({ at_s: z.array(z.number()), pressure_kPa: z.array(z.number()) }).optional(),
    ambient_degC: z.number().nullable(),
  }),
  z.object({
    /** Something only a person can do, such as setting the regulator, and what was answered. */
    kind: z.literal("hand-asked"),
    what: z.string(),
    outcome: z.enum(["done", "declined"]),
  }),
  z.object({
    kind: z.literal("examination-ended"),
    test: z.string(),
    outcome: z.enum(["complete", "incomplete"]),
    why: z.string().optional(),
  }),
  z.object({
    /** The run broke off and goes on: after how long, and what has been done to the unit and its lines meanwhile. */
    kind: z.literal("run-resumed"),
    by: z.string(),
    /** Time between the last event before and this one, by the computer's clock, s. */
    gap_s: z.number(),
    touched: z.enum(["nothing", "connections", "screws"]),
    software_version: z.string(),
    note: z.string().optional(),
  }),
  z.object({ kind: z.literal("learned"), what: z.array(z.string()) }),
  z.object({ kind: z.literal("trouble"), fault: faultRecord }),
  z.object({
    /**
     * The computer's clock was set while the run went on: `by_s` forward, or backward where it is negative. Times of the
     * record are counted on from the beginning by a clock that cannot be set, so they hold no step.
     */
    kind: z.literal("clock-stepped"),
    by_s: z.number(),
    /** What the computer's clock showed right after. */
    shown_utc: z.string(),
  }),
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
