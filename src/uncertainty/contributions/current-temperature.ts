import { atReading, figureText } from "../bench-facts.ts";
import { contribution, ofRectangle } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/** Uncorrected effect of temperature on the current meter or source. */
export const currentTemperature: ContributionLeaf = ({ current }, { applied_mA, slope_kPa_per_mA }) => {
  if (current.temperature === undefined) return null;
  const { limit_per_K, difference_K } = current.temperature;
  const half_width = atReading(limit_per_K, applied_mA) * Math.abs(difference_K);
  return contribution({
    id: "current-temperature",
    name: `temperature effect on ${current.name}`,
    evaluation: "B",
    distribution: "rectangular",
    given: `half-width ${figureText(half_width)} mA for ${figureText(difference_K)} K`,
    u_input: ofRectangle(half_width),
    unit: "mA",
    sensitivity: -slope_kPa_per_mA,
    source: "largest effect stated for the instrument, not corrected",
    common: { cause: `temperature of ${current.name}`, correlation: "unknown" },
  });
};
