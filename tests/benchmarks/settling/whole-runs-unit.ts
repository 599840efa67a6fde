import {
  type SimulatedBenchSettings,
  settingsFromWishes,
  usualTransfer,
} from "../../../drivers/simulated/bench-settings.ts";
import { playsOfWidth } from "../../../drivers/simulated/physics/hysteresis.ts";
import { SeededRandom } from "./seeded-random.ts";

/** A made-up unit on its bench. */
export interface WholeRunUnit {
  readonly settings: SimulatedBenchSettings;
  /** A tenth of a per cent and more of every step comes in late: no wait that anybody keeps is long enough. */
  readonly creeper: boolean;
}

/** Share of the units that creep so much. */
const CREEPERS = 0.12;

/**
 * Draws unit `index` of a family: hysteresis, response, creep, trim, harmless drift, tubing and gauge in the ranges of the
 * settling study this project rests on. Units that never settle are left out, for they have no figure to be wrong about.
 */
export const drawWholeRunUnit = (seed: number, index: number): WholeRunUnit => {
  const random = new SeededRandom(seed, index);
  const creeper = random.chance(CREEPERS);
  const smallCreep = random.chance(0.15);
  const creepShare = creeper
    ? random.uniform(0.001, 0.003)
    : smallCreep
      ? random.uniform(0.0002, 0.001) * (random.chance(0.8) ? 1 : -1)
      : 0;
  const creepTau_s = random.logUniform(20, 120);
  const slow = random.chance(0.1);
  const first_s = slow ? random.logUniform(3, 8) : random.logUniform(0.15, 3);
  const rings = random.chance(0.1);
  const zeta = random.uniform(0.2, 0.75);
  const envelope_s = random.logUniform(0.25, 2.2);
  const twoStage = random.chance(0.08);
  const slews = random.chance(0.1);
  const share_kPa = (usualTransfer.output.upper_kPa - usualTransfer.output.lower_kPa) / 100;
  const usual = settingsFromWishes();
  return {
    creeper,
    settings: {
      ...usual,
      seed: Math.floor(random.next() * 2 ** 31),
      converter: {
        ...usual.converter,
        dead_time_s: random.uniform(0, 0.5),
        zero_error_percent: 0.15 * random.normal(),
        span_error_percent: 0.2 * random.normal(),
        bow_percent: 0.1 * random.normal(),
        plays: playsOfWidth(random.logUniform(0.02, 0.4)),
        ...(creepShare === 0 ? {} : { creep: { share: creepShare, tau_s: creepTau_s } }),
        ...(twoStage ? { trim: { share: random.uniform(0.005, 0.04), tau_s: random.logUniform(2, 10) } } : {}),
        drift_percent_per_min: random.chance(0.5) ? random.uniform(-0.008, 0.008) : 0,
        core: rings
          ? { kind: "ringing", zeta, wn_per_s: 1 / (zeta * envelope_s) }
          : { kind: "lags", first_s, second_s: first_s * random.logUniform(0.05, 0.8) },
        relay: {
          rate_percent_per_s: slews ? random.logUniform(4, 20) : random.logUniform(15, 150),
          exhaust_ratio: random.uniform(0.3, 1.2),
          band_percent: random.logUniform(2, 10),
        },
        tubing_s: slews ? random.logUniform(0.2, 2.5) : random.logUniform(0.03, 0.8),
      },
      gauge: {
        ...usual.gauge,
        filter_s: random.logUniform(0.03, 0.5),
        update_s: random.logUniform(0.05, 0.5),
        white_noise: random.logUniform(0.001, 0.012) * share_kPa,
        slow_noise: random.uniform(0, 0.006) * share_kPa,
        resolution: random.pick([0.001, 0.002, 0.005, 0.01]) * share_kPa,
      },
    },
  };
};
