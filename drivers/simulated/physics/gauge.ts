import { createFirstOrder } from "./lags.ts";
import { createNoise } from "./noise.ts";
import { STEP_S } from "./plant-settings.ts";
import type { Random } from "./random.ts";

/**
 * A digital meter: low-pass, updates at its own rate, offset, noise, display digit, and what goes wrong on the way.
 * The unit is that of the pressure, current or temperature it is fed with.
 */
export interface GaugeSettings {
  /** Time constant of the filter. */
  readonly filter_s?: number;
  /** Time between two measurements of the instrument itself; every step (20 ms) if left out. */
  readonly update_s?: number;
  readonly offset?: number;
  /** Relative error of the indication. */
  readonly gain_error?: number;
  readonly white_noise?: number;
  readonly slow_noise?: number;
  /** Display digit; 0 or left out: none. */
  readonly resolution?: number;
  readonly outliers?: {
    /** Chance that a measurement is spoilt in the instrument, so that it repeats while the display is stale. */
    readonly at_gauge?: number;
    /** Chance that a single answer is spoilt on the wire. */
    readonly on_wire?: number;
    /** Least and greatest size; the sign is random. */
    readonly size: readonly [number, number];
    /** What a dead sensor shows; one spoilt reading in five is this one. */
    readonly dead_reading?: number;
  };
  /** Chance that a poll gets no answer. */
  readonly timeout_chance?: number;
}

export interface Gauge {
  /** One step of 20 ms with the true value held. */
  step(truth: number): void;
  /** What the display shows: filtered, noisy, rounded. The same until the next update. */
  shown(): number;
  /** Draws whether the next request is lost on the way. */
  lost(): boolean;
  /** What an answer on the wire says: the display, now and then spoilt. */
  answer(): number;
  /** One poll over the wire: an answer, or null when it is lost. */
  poll(): number | null;
  /** Filtered true value with nothing added. */
  clean(): number;
  /** Measurements made so far. */
  count(): number;
}

const rounded = (value: number, digit: number): number => (digit > 0 ? Math.round(value / digit) * digit : value);

/** A gauge that has seen `start` for ever. */
export const createGauge = (settings: GaugeSettings, random: Random, start = 0): Gauge => {
  const filter = createFirstOrder(settings.filter_s ?? 0, STEP_S);
  filter.reset(start);
  const update_s = Math.max(settings.update_s ?? STEP_S, STEP_S);
  const noise = createNoise(settings.white_noise ?? 0, settings.slow_noise ?? 0, random.split("noise"));
  const wire = random.split("wire");
  const faults = random.split("faults");
  const outliers = settings.outliers;
  const digit = settings.resolution ?? 0;
  let clean = start;
  let count = 0;
  let wait_s = update_s * random.split("phase").uniform();

  const spoil = (value: number, chance: number | undefined, source: Random): number => {
    if (outliers === undefined || chance === undefined || !source.chance(chance)) return value;
    if (outliers.dead_reading !== undefined && source.chance(0.2)) return outliers.dead_reading;
    return value + (source.chance(0.5) ? 1 : -1) * source.uniform(outliers.size[0], outliers.size[1]);
  };

  const measure = (): number => {
    count += 1;
    const value = clean * (1 + (settings.gain_error ?? 0)) + (settings.offset ?? 0) + noise.next(update_s);
    return rounded(spoil(value, outliers?.at_gauge, faults), digit);
  };

  let shown = measure();
  const lost = (): boolean => settings.timeout_chance !== undefined && wire.chance(settings.timeout_chance);
  const answer = (): number => rounded(spoil(shown, outliers?.on_wire, wire), digit);

  return {
    step: (truth) => {
      clean = filter.advance(truth);
      wait_s -= STEP_S;
      if (wait_s > STEP_S * 1e-6) return;
      wait_s += update_s;
      shown = measure();
    },
    shown: () => shown,
    lost,
    answer,
    poll: () => (lost() ? null : answer()),
    clean: () => clean,
    count: () => count,
  };
};
