import { playsOfWidth } from "../../../drivers/simulated/physics/hysteresis.ts";
import type { PlantSettings } from "../../../drivers/simulated/physics/plant-settings.ts";
import type { Random } from "../../../drivers/simulated/physics/random.ts";
import { trueOutputs } from "../../../drivers/simulated/physics/true-errors.ts";
import { figure } from "../../../src/analysis/analysis.ts";
import type { Cause } from "../../../src/analysis/diagnosis/cause.ts";
import type { CurveEvidence, Evidence } from "../../../src/analysis/diagnosis/evidence.ts";
import { deadBandAt } from "../../../src/analysis/examination/dead-band-test.ts";
import { holdFigures } from "../../../src/analysis/examination/hold-figures.ts";
import { leakTest } from "../../../src/analysis/examination/leak-test.ts";
import { stepResponse } from "../../../src/analysis/examination/step-response.ts";
import { atSupply, droop_kPa, supplyInfluence } from "../../../src/analysis/examination/supply-influence.ts";
import { analysed, PLAIN, pointsOf, TENTHS } from "../../analysis/bench-readings.ts";
import { createRig, SPAN_KPA, toKPa, toPercent } from "./plant-trace.ts";

/** Everything that can be wrong at once: unit, air, loop. Percent of span; current in mA. */
export interface Case {
  readonly plant: PlantSettings;
  readonly supply_kPa: number;
  readonly droop_kPa_s_per_percent: number;
  readonly pulsation: { readonly kPa: number; readonly period_s: number } | null;
  readonly current_off_mA: number;
  readonly reversed: boolean;
}

const NOMINAL_KPA = 140;
const BAND_KPA = { lower: 130, upper: 150 };
const TOLERANCE = 0.5;

/** A unit within its limits, with the small faults every unit has (invented figures). */
export const soundUnit = (random: Random): Case => ({
  plant: {
    zero_error_percent: random.uniform(-0.2, 0.2),
    span_error_percent: random.uniform(-0.2, 0.2),
    bow_percent: random.uniform(-0.06, 0.06),
    plays: playsOfWidth(random.uniform(0.02, 0.15)),
    dead_band_percent: random.uniform(0, 0.06),
    dead_time_s: random.uniform(0.05, 0.2),
    core: { kind: "lags", first_s: random.uniform(0.3, 1.2), second_s: random.uniform(0.05, 0.3) },
    relay: { rate_percent_per_s: random.uniform(40, 80), exhaust_ratio: random.uniform(0.6, 0.9), band_percent: 5 },
    tubing_s: random.uniform(0.1, 0.4),
    leak_percent_per_min: random.uniform(0, 0.05),
    supply: { pressure_kPa: NOMINAL_KPA, effect_percent_per_kPa: random.uniform(-0.004, 0.004) },
  },
  supply_kPa: random.uniform(134, 146),
  droop_kPa_s_per_percent: 0.02,
  pulsation: null,
  current_off_mA: random.normal(0, 0.003),
  reversed: false,
});

const either = (random: Random, least: number, most: number): number =>
  random.uniform(least, most) * (random.chance(0.5) ? 1 : -1);

type Plant = (plant: Partial<PlantSettings>) => Case;

/** Twenty faults, planted in a unit that is otherwise sound. */
export const FAULTS: Readonly<Record<Cause, (unit: Case, random: Random) => Case>> = {
  reversed: (unit) => ({ ...unit, reversed: true }),
  "loop-current": (unit, r) => ({ ...unit, current_off_mA: either(r, 0.1, 0.5) }),
  "supply-low": (unit, r) => ({ ...unit, supply_kPa: r.uniform(85, 99) }),
  "supply-droop": (unit, r) => ({ ...unit, droop_kPa_s_per_percent: r.uniform(0.6, 1.4) }),
  "supply-pulsating": (unit, r) => ({
    ...unit,
    plant: { ...unit.plant, supply: { pressure_kPa: NOMINAL_KPA, effect_percent_per_kPa: r.uniform(0.02, 0.05) } },
    pulsation: { kPa: r.uniform(5, 10), period_s: r.uniform(3, 12) },
  }),
  "supply-sensitive": (unit, r) =>
    on(unit)({ supply: { pressure_kPa: NOMINAL_KPA, effect_percent_per_kPa: either(r, 0.025, 0.08) } }),
  // A 3 to 15 psi unit under a 20 to 100 kPa file.
  "wrong-range": (unit, r) =>
    on(unit)({ zero_error_percent: 0.855 + r.uniform(-0.15, 0.15), span_error_percent: 3.42 + r.uniform(-0.15, 0.15) }),
  leak: (unit, r) => on(unit)({ leak_percent_per_min: r.logUniform(0.5, 8) }),
  hunting: (unit, r) =>
    on(unit)({ hunting: { amplitude_percent: r.uniform(0.1, 0.4), integral_per_s: 4 * r.logUniform(0.15, 0.6) } }),
  ringing: (unit, r) => on(unit)({ core: { kind: "ringing", zeta: r.uniform(0.2, 0.5), wn_per_s: r.uniform(1.5, 4) } }),
  drift: (unit, r) => on(unit)({ drift_percent_per_min: either(r, 0.2, 0.8) }),
  "worn-linkage": (unit, r) => on(unit)({ dead_band_percent: r.uniform(0.3, 1) }),
  friction: (unit, r) => on(unit)({ plays: playsOfWidth(r.uniform(0.6, 1.6), [0, 1, 1, 1]) }),
  "clogged-restrictor": (unit, r) =>
    on(unit)({ relay: { rate_percent_per_s: r.uniform(3, 8), exhaust_ratio: r.uniform(0.75, 0.95), band_percent: 5 } }),
  "clogged-feed": (unit, r) =>
    on(unit)({ relay: { rate_percent_per_s: r.uniform(4, 9), exhaust_ratio: r.uniform(6, 12), band_percent: 5 } }),
  "blocked-exhaust": (unit, r) =>
    on(unit)({
      relay: { rate_percent_per_s: r.uniform(40, 80), exhaust_ratio: r.uniform(0.06, 0.14), band_percent: 5 },
    }),
  "long-line": (unit, r) => on(unit)({ tubing_s: r.uniform(4.5, 9) }),
  "bent-curve": (unit, r) => on(unit)({ bow_percent: either(r, 0.7, 1.5) }),
  "zero-off": (unit, r) => on(unit)({ zero_error_percent: either(r, 0.9, 3) }),
  "span-off": (unit, r) => on(unit)({ span_error_percent: either(r, 0.9, 2.6) }),
};

const on =
  (unit: Case): Plant =>
  (plant) => ({ ...unit, plant: { ...unit.plant, ...plant } });

/** Calibration at eleven points up and down, at rest, straight from the physics with 0.002 % of noise a point. */
const curveOf = (unit: Case, random: Random): CurveEvidence => {
  const inputs = [...TENTHS, ...TENTHS.toReversed()];
  const off = (100 * unit.current_off_mA) / 16;
  const asked = inputs.map((x) => (unit.reversed ? 100 - x : x) + off);
  const before = [0, 100, 0].map((x) => (unit.reversed ? 100 - x : x));
  const outputs = trueOutputs(unit.plant, asked, { before, supply_kPa: unit.supply_kPa });
  const taken = inputs.map((x, i) => ({
    cycle: 1,
    direction: i < TENTHS.length ? ("rising" as const) : ("falling" as const),
    input_mA: 4 + 0.16 * x,
    output_kPa: toKPa((outputs[i] ?? 0) + random.normal(0, 0.002)),
  }));
  const analysis = analysed(pointsOf(PLAIN, taken), PLAIN);
  const value = (id: Parameters<typeof figure>[1]): number => figure(analysis, id)?.value ?? 0;
  const level = (x: number): number => analysis.levels.find((l) => l.nominal_percent === x)?.mean_percent_span ?? 0;
  return {
    zero_percent: level(0),
    span_percent: level(100) - level(0),
    bend_percent: value("linearity-independent"),
    hysteresis_percent: Math.abs(value("hysteresis-plus-dead-band")),
    // From 50 and 70 %, which a ceiling has to come far down to touch.
    top_short_percent: level(100) - (level(70) + 1.5 * (level(70) - level(50))),
    slope: unit.reversed ? -1 : 1 + (level(100) - level(0)) / 100,
    lower_kPa: 20,
    upper_kPa: 100,
  };
};

/** Runs all tests on a unit. */
export const evidenceOf = (unit: Case, random: Random): Evidence => {
  const input = (percent: number): number =>
    (unit.reversed ? 100 - percent : percent) + (100 * unit.current_off_mA) / 16;
  const make = (name: string) =>
    createRig(
      {
        plant: { ...unit.plant, initial_percent: input(10) },
        air: { pressure_kPa: unit.supply_kPa, droop_kPa_s_per_percent: unit.droop_kPa_s_per_percent },
        ...(unit.pulsation === null ? {} : { pulsation: unit.pulsation }),
      },
      random.split(name),
    );
  const rig = make("steps");
  rig.watch(input(10), 20);
  const up = rig.jump("step up", input(10), input(90), 40);
  const down = rig.jump("step down", input(90), input(10), 40);
  rig.watch(input(45), 20);
  const small = rig.jump("small step", input(45), input(55), 20);
  const holds = [75, 50].map((at) => {
    const { samples } = rig.jump("hold", input(50), input(at), 60);
    return { name: "hold", from_percent: 50, to_percent: at, samples, supply: [] };
  });
  const standing = rig.hold("standing", input(50), 20);
  const air = standing.supply.map((s) => s.kPa);

  rig.watch(input(42), 10);
  rig.watch(input(50), 12);
  const stairs = rig.stairs("back", input(50), unit.reversed ? 0.08 : -0.08, 18, 4);

  rig.watch(input(95), 25);
  rig.plant.isolate(true);
  const leak = leakTest(rig.hold("closed", input(95), 40));
  rig.plant.isolate(false);

  const readings = [0, 10, -8].flatMap((more) => {
    rig.supply.set(unit.supply_kPa + more);
    rig.watch(input(50), 12);
    const at = atSupply({ ...rig.hold("half", input(50), 24), to_percent: 50 }, toPercent);
    return at === null ? [] : [at];
  });
  return {
    tolerance_percent: TOLERANCE,
    curve: curveOf(unit, random.split("curve")),
    step_up: stepResponse(up, SPAN_KPA),
    step_down: stepResponse(down, SPAN_KPA),
    small_step: stepResponse(small, SPAN_KPA),
    leak_percent_per_min: leak === null ? null : (100 * leak.loss_kPa_per_min) / SPAN_KPA,
    dead_band_percent: deadBandAt(stairs, toPercent)?.dead_band_percent ?? 1.5,
    holds: holds.flatMap((trace) => holdFigures(trace, toPercent) ?? []),
    supply: {
      at_kPa: unit.supply_kPa,
      lower_kPa: BAND_KPA.lower,
      upper_kPa: BAND_KPA.upper,
      droop_kPa: droop_kPa(up),
      swing_kPa: (Math.max(...air) - Math.min(...air)) / 2,
      influence_percent_per_10_kPa: supplyInfluence(readings)?.percent_per_10_kPa ?? null,
    },
    current_off_mA: unit.current_off_mA,
  };
};
