import { playsOfWidth } from "../../../../drivers/simulated/physics/hysteresis.ts";
import type { PlantSettings } from "../../../../drivers/simulated/physics/plant-settings.ts";
import type { Random } from "../../../../drivers/simulated/physics/random.ts";

/**
 * A family of random converters, one kind for each ingredient that matters, so that a property can be tried on all of
 * them. Ranges are the project's own choice of what a bench may meet.
 */
export const plantKinds = [
  "mixed",
  "fast",
  "slow",
  "ringing",
  "slewing",
  "two-stage",
  "creep",
  "saturated",
  "ripple",
  "hunting",
  "drifting",
] as const;

export type PlantKind = (typeof plantKinds)[number];

const drawCore = (kind: PlantKind, random: Random): NonNullable<PlantSettings["core"]> => {
  if (kind === "ringing" || (kind === "mixed" && random.chance(0.2))) {
    const zeta = random.uniform(0.2, 0.75);
    return { kind: "ringing", zeta, wn_per_s: 1 / (zeta * random.logUniform(0.25, 2.2)) };
  }
  const first_s =
    kind === "fast"
      ? random.logUniform(0.1, 0.6)
      : kind === "slow"
        ? random.logUniform(3, 8)
        : random.logUniform(0.15, 3);
  return { kind: "lags", first_s, second_s: first_s * random.logUniform(0.05, 0.8) };
};

const drawRelay = (kind: PlantKind, random: Random): NonNullable<PlantSettings["relay"]> => ({
  rate_percent_per_s:
    kind === "fast"
      ? random.logUniform(60, 200)
      : kind === "slewing"
        ? random.logUniform(4, 20)
        : random.logUniform(15, 150),
  exhaust_ratio: random.logUniform(0.3, 1.2),
  band_percent: random.logUniform(2, 10),
});

const drawCreep = (kind: PlantKind, random: Random): PlantSettings["creep"] => {
  const sign = random.chance(0.8) ? 1 : -1;
  if (kind === "creep") return { share: sign * random.logUniform(0.001, 0.003), tau_s: random.logUniform(20, 120) };
  if (kind === "mixed" && random.chance(0.5)) {
    return { share: sign * random.logUniform(0.0002, 0.0012), tau_s: random.logUniform(20, 120) };
  }
  return undefined;
};

const drawRipple = (kind: PlantKind, random: Random): PlantSettings["ripple"] => {
  const frequency_Hz = random.uniform(0.02, 0.05);
  if (kind === "ripple") return { amplitude_percent: random.logUniform(0.045, 0.2), frequency_Hz };
  return random.chance(0.3) ? { amplitude_percent: random.logUniform(0.001, 0.008), frequency_Hz } : undefined;
};

/** A member of the family; the same random generator gives the same member. */
export const drawPlant = (kind: PlantKind, random: Random): PlantSettings => {
  const part = (name: string): Random => random.split(name);
  const curve = part("curve");
  const creep = drawCreep(kind, part("creep"));
  const ripple = drawRipple(kind, part("ripple"));
  const slide = part("drift");
  const drift_percent_per_min =
    kind === "drifting"
      ? (slide.chance(0.5) ? 1 : -1) * slide.logUniform(0.1, 1)
      : slide.chance(0.5)
        ? slide.uniform(-0.008, 0.008)
        : 0;
  const hunt = part("hunting");
  const trim = part("trim");
  return {
    dead_time_s: part("dead time").uniform(0, 0.5),
    zero_error_percent: curve.normal(0, 0.15),
    span_error_percent: curve.normal(0, 0.2),
    bow_percent: curve.normal(0, 0.1),
    plays: playsOfWidth(
      curve.logUniform(0.02, 0.4),
      [1, 2, 3, 4].map(() => curve.uniform()),
    ),
    drift_percent_per_min,
    // The supply carries at least 105 % of the span, except in the kind that is short of air.
    supply: { pressure_kPa: part("supply").uniform(125, 165) },
    core: drawCore(kind, part("core")),
    relay: drawRelay(kind, part("relay")),
    tubing_s: kind === "slewing" ? part("tubing").logUniform(0.2, 2.5) : part("tubing").logUniform(0.03, 0.8),
    ...(creep === undefined ? {} : { creep }),
    ...(ripple === undefined ? {} : { ripple }),
    ...(kind === "two-stage" ? { trim: { share: trim.uniform(0.005, 0.04), tau_s: trim.logUniform(2, 10) } } : {}),
    ...(kind === "saturated" ? { supply: { pressure_kPa: part("supply").uniform(84, 100) } } : {}),
    ...(kind === "hunting"
      ? { hunting: { amplitude_percent: hunt.logUniform(0.045, 0.15), integral_per_s: 4 * hunt.logUniform(0.1, 1) } }
      : {}),
  };
};
