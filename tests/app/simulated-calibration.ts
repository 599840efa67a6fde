import { createRandom, type Random } from "../../drivers/simulated/physics/random.ts";
import { trueErrors } from "../../drivers/simulated/physics/true-errors.ts";
import { evaluateStage } from "../../src/app/evaluate-record.ts";
import type { Job } from "../../src/app/prepare-job.ts";
import type { BenchFile } from "../../src/config/bench-file.schema.ts";
import { type StageRecord, stageOf } from "../../src/readings/run-record.ts";
import { kPa, mA } from "../../src/vocabulary/quantities.ts";
import { must, practiceJob, runWithModel } from "./practice-job.ts";

/**
 * One calibration of a made-up unit on the virtual bench, as found, by the whole pipeline; the truth is that of the
 * unit's physics. The references of the virtual bench are exact, so errors are drawn from what the bench file states of
 * them and added to what they indicated: certificates as normal, limits as rectangular, the gas column as it stands.
 */
export interface SimulatedCalibration {
  readonly job: Job;
  readonly stage: StageRecord;
  /** True error at each point in the order of the readings, kPa. */
  readonly truth_kPa: readonly number[];
}

/** Limits besides the certificates, for half of the benches. In the units of the schema. */
const LIMITS = {
  drift_kPa: 0.03,
  per_kelvin_kPa: 0.004,
  kelvin: 5,
  zero_kPa: 0.01,
  position_kPa: 0.02,
  height_m: 0.5,
  current_drift_mA: 0.001,
} as const;

const pressure = (value: number) =>
  ({ kind: "pressure", kPa: kPa(value), unit: "kPa", written: value, text: `${value} kPa` }) as const;
const current = (value: number) => ({ kind: "current", mA: mA(value), text: `${value} mA` }) as const;

/** The bench with limits written for its references. */
const withLimits = (bench: BenchFile, station: string): BenchFile => {
  const slots = bench.stations[station];
  const gauge = slots === undefined ? undefined : bench.instruments[slots.gauge];
  const meter = slots?.current_meter === undefined ? undefined : bench.instruments[slots.current_meter];
  if (slots?.current_meter === undefined || gauge?.pressure === undefined || meter?.current === undefined) {
    throw new Error("the bench has not the references that were expected");
  }
  const K = { kind: "temperature-difference", K: LIMITS.kelvin, text: `${LIMITS.kelvin} K` } as const;
  return {
    ...bench,
    instruments: {
      ...bench.instruments,
      [slots.gauge]: {
        ...gauge,
        pressure: {
          ...gauge.pressure,
          drift: { limit: pressure(LIMITS.drift_kPa), known_from: "made up" },
          temperature_effect: { per_kelvin: pressure(LIMITS.per_kelvin_kPa), difference: K },
          zero_drift: pressure(LIMITS.zero_kPa),
          position_effect: pressure(LIMITS.position_kPa),
        },
      },
      [slots.current_meter]: {
        ...meter,
        current: { ...meter.current, drift: { limit: current(LIMITS.current_drift_mA), known_from: "made up" } },
      },
    },
    stations: {
      ...bench.stations,
      [station]: { ...slots, height_difference: { kind: "length", m: LIMITS.height_m, text: `${LIMITS.height_m} m` } },
    },
  };
};

/** Runs the calibration; everything that is random comes from the seed. */
export const simulateCalibration = async (seed: number): Promise<SimulatedCalibration> => {
  const random = createRandom(`calibration ${seed}`);
  const job = practiceJob(
    {
      unit: random.pick(["ip-3-15-psi", "ip-20-100-kpa", "ip-reverse"]),
      seed,
      gauge_noise: random.logUniform(0.001, 0.01),
      converter: {
        zero_error: random.uniform(-1.5, 1.5),
        span_error: random.uniform(-1.5, 1.5),
        bow: random.uniform(-0.15, 0.15),
        hysteresis: random.uniform(0, 0.3),
        dead_band: random.uniform(0, 0.05),
        creep: random.uniform(0, 0.001),
        response: random.logUniform(0.3, 2),
        tubing: random.logUniform(0.1, 0.8),
        leak: 0,
      },
    },
    { adjust: "never", plan: { cycles: random.pick([1, 1, 1, 2]) } },
  );
  const { outcome, model } = await runWithModel(job);
  const stage = stageOf(outcome.record, "as-found");
  if (stage === undefined) throw new Error(`seed ${seed}: no as-found stage`);
  const points = stage.points.toSorted((a, b) => a.ordinal - b.ordinal);
  const span = job.transfer.output.upper_kPa - job.transfer.output.lower_kPa;
  // The exercise stroke has wiped out what the mechanism remembered; every planned point counts, taken or not.
  const planned = job.plan.steps.flatMap((s) =>
    s.kind === "point" ? [{ ordinal: s.ordinal, percent: s.nominal_percent }] : [],
  );
  const errors = trueErrors(
    model.plantSettings,
    planned.map((p) => p.percent),
    { before: [0, 100, 0] },
  );
  const truth = new Map(planned.map((p, i) => [p.ordinal, ((errors[i] ?? Number.NaN) * span) / 100]));
  const limited = random.chance(0.5) ? { ...job, bench: withLimits(job.bench, job.station) } : job;
  return {
    job: limited,
    stage: { ...stage, points },
    truth_kPa: points.map((p) => truth.get(p.ordinal) ?? Number.NaN),
  };
};

const within = (random: Random, limit: number): number => random.uniform(-limit, limit);

/** Error of an instrument at `share` of its range: normal with u everywhere, near points alike, far ones not. */
const certificateError = (random: Random, u: number): ((share: number) => number) => {
  const [a, b] = [random.normal(0, u), random.normal(0, u)];
  return (share) => a * Math.cos((share * Math.PI) / 2) + b * Math.sin((share * Math.PI) / 2);
};

export interface CheckedPoint {
  readonly inside: boolean;
  /** (stated error - true error) / u. */
  readonly normalised: number;
}

/** The same calibration with references drawn anew: was the true error inside the stated interval at each point? */
export const checkCoverage = (
  { job, stage, truth_kPa }: SimulatedCalibration,
  draw: number,
): readonly CheckedPoint[] => {
  const random = createRandom(`references ${job.bench.simulation?.seed} ${draw}`);
  const slots = job.bench.stations[job.station];
  const gauge = bench(job, slots?.gauge).pressure;
  const meter = bench(job, slots?.current_meter).current;
  const gaugeU = gauge?.certificate;
  const meterU = meter?.certificate;
  if (gaugeU?.U.kind !== "pressure" || meterU?.U.kind !== "current") throw new Error("certificates of another kind");
  const ofGauge = certificateError(random, gaugeU.U.kPa / gaugeU.k);
  const ofMeter = certificateError(random, meterU.U.mA / meterU.k);
  const limited = gauge?.drift !== undefined;
  const shift = limited
    ? within(random, LIMITS.drift_kPa) +
      within(random, LIMITS.per_kelvin_kPa * LIMITS.kelvin) +
      within(random, LIMITS.position_kPa)
    : 0;
  const height_m = limited ? within(random, LIMITS.height_m) : 0;
  const meterDrift = limited ? within(random, LIMITS.current_drift_mA) : 0;
  const { input, output } = job.transfer;
  const points = stage.points.map((p) => {
    const share = (p.output_kPa - output.lower_kPa) / (output.upper_kPa - output.lower_kPa);
    const zero = limited ? within(random, LIMITS.zero_kPa) : 0;
    // Gas column at 20 degC, denser by its gauge pressure.
    const head = ((p.output_kPa * 1e3) / (287.05 * 293.15)) * 9.80665 * height_m * 1e-3;
    const measured = p.measured_mA ?? Number.NaN;
    return {
      ...p,
      output_kPa: p.output_kPa + ofGauge(share) + shift + zero + head,
      measured_mA: measured + ofMeter((measured - input.lower_mA) / (input.upper_mA - input.lower_mA)) + meterDrift,
    };
  });
  const { analysis, uncertainties } = must(evaluateStage({ ...stage, points }, job));
  return analysis.points.map((p, i) => {
    const u = uncertainties.find((each) => each.ordinal === p.ordinal);
    const off = p.error_kPa - (truth_kPa[i] ?? Number.NaN);
    if (u === undefined || !Number.isFinite(off)) throw new Error(`point ${p.ordinal} has no uncertainty or no truth`);
    return { inside: Math.abs(off) <= u.U_kPa, normalised: off / u.u_kPa };
  });
};

const bench = (job: Job, name: string | undefined) => {
  const instrument = job.bench.instruments[name ?? ""];
  if (instrument === undefined) throw new Error("the station has no such instrument");
  return instrument;
};

export interface Coverage {
  readonly points: number;
  readonly inside_share: number;
  /** Root mean square of the normalised differences; 1 when u is right. */
  readonly normalised_rms: number;
}

export const coverageOf = (points: readonly CheckedPoint[]): Coverage => ({
  points: points.length,
  inside_share: points.filter((p) => p.inside).length / points.length,
  normalised_rms: Math.sqrt(points.reduce((s, p) => s + p.normalised ** 2, 0) / points.length),
});
