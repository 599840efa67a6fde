import { createHysteresis, stepPlay } from "./hysteresis.ts";
import { createFirstOrder, createRinging, createTwoLags, type Lag } from "./lags.ts";
import { asAbsolute, asPercent, type PlantSettings, STEP_S, scaleOf } from "./plant-settings.ts";
import { orificeFlow, slewThenClose } from "./pneumatics.ts";
import type { Random } from "./random.ts";
import type { ScrewTurns } from "./screws.ts";
import { staticCurve } from "./static-curve.ts";

/** A simulated converter with its tubing, down to the gauge port. All outputs in % of the output span. */
export interface Plant {
  /**
   * Runs on by `dt_s` with the input held. Time goes in steps of 20 ms; what is left of a step is kept for the next
   * call, so the outcome does not depend on how the time was cut.
   */
  advance(dt_s: number, input_percent: number): void;
  /** True pressure at the gauge port. */
  output(): number;
  /** Where the pressure is heading now: static curve with creep, trim, drift and ripple, but without lags. */
  target(): number;
  /** True pressure in the converter's own volume. */
  internal(): number;
  /** Air taken from the supply during the last step, as filling rate in % of span per second. */
  inflow(): number;
  time_s(): number;
  /** Turns a screw clockwise (negative: anticlockwise) until `turns` is done or its stop is reached. */
  turn(screw: "zero" | "span", turns: number): { readonly turned: number; readonly at_stop: boolean };
  screws(): ScrewTurns;
  setSupply(gauge_kPa: number): void;
  /** Closes the valve between converter and gauge volume: the gauge then sees nothing but the leak. */
  isolate(closed: boolean): void;
}

const coreOf = (settings: PlantSettings): Lag | null => {
  const core = settings.core;
  if (core === undefined) return null;
  if (core.kind === "ringing") return createRinging(core.zeta, core.wn_per_s, STEP_S);
  const second_s = core.second_s ?? 0;
  return second_s > 0 ? createTwoLags(core.first_s, second_s, STEP_S) : createFirstOrder(core.first_s, STEP_S);
};

/** -1..1, rising over the first 30 % of each period and falling over the rest, as a compressor fills and rests. */
const sawTooth = (cycles: number): number => {
  const phase = cycles - Math.floor(cycles);
  return phase < 0.3 ? -1 + phase / 0.15 : 1 - (phase - 0.3) / 0.35;
};

const clip = (x: number, limit: number): number => Math.max(-limit, Math.min(limit, x));

/** A plant at rest at `settings.initial_percent`. `random` is drawn from for the phase of ripple and for hunting only. */
export const createPlant = (settings: PlantSettings, random: Random): Plant => {
  const scale = scaleOf(settings);
  const hysteresis = createHysteresis(settings.plays ?? [], settings.dead_band_percent ?? 0);
  const core = coreOf(settings);
  const creep = createFirstOrder(settings.creep?.tau_s ?? 0, STEP_S);
  const trim = createFirstOrder(settings.trim?.tau_s ?? 0, STEP_S);
  const creepShare = settings.creep?.share ?? 0;
  const trimShare = settings.trim?.share ?? 0;
  const drift_per_s = (settings.drift_percent_per_min ?? 0) / 60;
  const ripple = settings.ripple;
  const ripplePhase = random.split("ripple").uniform();
  const jumps = random.split("hunting");
  const hunting = settings.hunting;
  const relay = settings.relay;
  const middle = asAbsolute(scale, 50);
  const nominalSupply = scale.atmosphere_kPa + scale.supply_kPa;
  const fillAtMiddle = nominalSupply * orificeFlow(middle / nominalSupply);
  const fillGain = relay === undefined ? 0 : relay.rate_percent_per_s / Math.max(fillAtMiddle, 1e-3);
  const exhaustGain =
    relay === undefined
      ? 0
      : (relay.rate_percent_per_s * relay.exhaust_ratio) / (middle * orificeFlow(scale.atmosphere_kPa / middle));
  // A leak is proportional to gauge pressure; its rate is stated at 100 % of the range.
  const leak_per_s = (settings.leak_percent_per_min ?? 0) / 60 / (100 - scale.floor_percent);
  const tubing_s = settings.tubing_s ?? 0;
  const backlash = { zero: settings.screws?.zero.backlash_turns ?? 0, span: settings.screws?.span.backlash_turns ?? 0 };

  let steps = 0;
  let pending_s = 0;
  let supply_kPa = scale.supply_kPa;
  let isolated = false;
  let inflow = 0;
  // Hunting: where the sticking valve stands, and what the integrator asks of it, % of span.
  let held = hunting === undefined ? 0 : hunting.amplitude_percent * (jumps.chance(0.5) ? 1 : -1);
  let push = held;
  const heads = { zero: 0, span: 0 };
  const threads = { zero: 0, span: 0 };
  const start = settings.initial_percent ?? 0;
  const delay = new Float64Array(Math.round((settings.dead_time_s ?? 0) / STEP_S)).fill(start);

  const atRest = (v: number): number =>
    Math.max(scale.floor_percent, Math.min(v, asPercent(scale, supply_kPa - scale.margin_kPa)));

  hysteresis.reset(start);
  const first = staticCurve(settings, start, start, threads);
  creep.reset(first);
  trim.reset(first);
  let y = atRest(first);
  core?.reset(y);
  let p1 = y;
  let p2 = y;

  const swing = (): number => {
    if (hunting === undefined) return 0;
    const a = hunting.amplitude_percent;
    push = clip(push + STEP_S * hunting.integral_per_s * clip(y - p1, 2 * a), 4 * a);
    if (Math.abs(push - held) > 2 * a) {
      held = Math.sign(push - held) * a * (1 + jumps.uniform(-0.08, 0.08));
      push = held;
    }
    return held;
  };

  const fillVolume = (target: number): void => {
    if (relay === undefined) {
      inflow = Math.max(0, (target - p1) / STEP_S);
      p1 = target;
      return;
    }
    const before = p1;
    const p1_kPa = asAbsolute(scale, p1);
    const upstream = scale.atmosphere_kPa + supply_kPa;
    const rate =
      target >= p1
        ? fillGain * upstream * orificeFlow(p1_kPa / upstream)
        : exhaustGain * p1_kPa * orificeFlow(scale.atmosphere_kPa / p1_kPa);
    p1 = slewThenClose(p1, target, rate, relay.band_percent, STEP_S);
    inflow = Math.max(0, (p1 - before) / STEP_S);
  };

  /** p2' = rate (p1 - p2) - leak * (p2 - floor), solved exactly over the step. */
  const fillGauge = (): void => {
    const rate =
      isolated || tubing_s <= 0 ? 0 : (asAbsolute(scale, p1) + asAbsolute(scale, p2)) / (2 * middle * tubing_s);
    if (!isolated && tubing_s <= 0) {
      p1 -= -Math.expm1(-leak_per_s * STEP_S) * (p1 - scale.floor_percent);
      p2 = p1;
      return;
    }
    const total = rate + leak_per_s;
    if (total === 0) return;
    const end = (rate * p1 + leak_per_s * scale.floor_percent) / total;
    p2 = end + (p2 - end) * Math.exp(-total * STEP_S);
  };

  const step = (input: number): void => {
    const t_s = (steps + 1) * STEP_S;
    let u = input;
    if (delay.length > 0) {
      const slot = steps % delay.length;
      u = delay[slot] ?? input;
      delay[slot] = input;
    }
    steps += 1;
    const v = staticCurve(settings, hysteresis.advance(u), u, threads);
    const asked =
      v -
      creepShare * (v - creep.advance(v)) -
      trimShare * (v - trim.advance(v)) +
      drift_per_s * t_s +
      (ripple === undefined ? 0 : ripple.amplitude_percent * sawTooth(ripple.frequency_Hz * t_s + ripplePhase)) +
      (settings.supply?.effect_percent_per_kPa ?? 0) * (supply_kPa - scale.supply_kPa);
    y = atRest(asked);
    const swung = swing();
    fillVolume((core === null ? y : core.advance(y)) + swung);
    p1 = Math.max(scale.floor_percent, p1);
    fillGauge();
    p2 = Math.max(scale.floor_percent, p2);
  };

  return {
    advance: (dt_s, input_percent) => {
      pending_s += dt_s;
      // A millionth of a step absorbs the rounding of repeated additions.
      while (pending_s >= STEP_S * (1 - 1e-6)) {
        step(input_percent);
        pending_s -= STEP_S;
      }
    },
    output: () => p2,
    target: () => y,
    internal: () => p1,
    inflow: () => inflow,
    time_s: () => steps * STEP_S,
    turn: (screw, turns) => {
      const limits = settings.screws?.[screw];
      if (limits === undefined) return { turned: 0, at_stop: true };
      const wanted = heads[screw] + turns;
      const reached = Math.max(limits.lower_stop_turns, Math.min(limits.upper_stop_turns, wanted));
      const turned = reached - heads[screw];
      heads[screw] = reached;
      threads[screw] = stepPlay(threads[screw], reached, backlash[screw] / 2);
      return { turned, at_stop: reached !== wanted };
    },
    screws: () => ({ ...heads }),
    setSupply: (gauge_kPa) => {
      supply_kPa = gauge_kPa;
    },
    isolate: (closed) => {
      isolated = closed;
    },
  };
};
