import { asPercent, type PlantSettings, scaleOf } from "./plant-settings.ts";
import { type ScrewTurns, screwShift } from "./screws.ts";

/**
 * Where the output comes to rest when the mechanism stands at `moved` % (the input after hysteresis) and the input at
 * `input` %: zero + gain * moved + bow + screws, in % of span. Neither supply nor atmosphere limit it yet.
 */
export const staticCurve = (settings: PlantSettings, moved: number, input: number, turns: ScrewTurns): number => {
  const share = input / 100;
  const screws = settings.screws;
  return (
    (settings.zero_error_percent ?? 0) +
    (1 + (settings.span_error_percent ?? 0) / 100) * moved +
    4 * (settings.bow_percent ?? 0) * share * (1 - share) +
    (screws === undefined ? 0 : screwShift(screws.zero, turns.zero, moved) + screwShift(screws.span, turns.span, moved))
  );
};

/** Holds an output between atmosphere and what the supply can give, % of span. */
export const withinSupply = (settings: PlantSettings, percent: number, supply_kPa: number): number => {
  const scale = scaleOf(settings);
  return Math.max(scale.floor_percent, Math.min(percent, asPercent(scale, supply_kPa - scale.margin_kPa)));
};
