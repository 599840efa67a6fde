import { atReading, figureText } from "../bench-facts.ts";
import { contribution, ofRectangle } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/** Uncorrected effect of temperature on the reference gauge. */
export const gaugeTemperature: ContributionLeaf = ({ gauge }, { output_kPa }) => {
  if (gauge.temperature === undefined) return null;
  const { limit_per_K, difference_K } = gauge.temperature;
  const half_width = atReading(limit_per_K, output_kPa) * Math.abs(difference_K);
  return contribution({
    id: "gauge-temperature",
    name: `temperature effect on ${gauge.name}`,
    evaluation: "B",
    distribution: "rectangular",
    given: `half-width ${figureText(half_width)} kPa for ${figureText(difference_K)} K`,
    u_input: ofRectangle(half_width),
    unit: "kPa",
    sensitivity: 1,
    source: "largest effect stated for the gauge, not corrected",
    common: { cause: `temperature of ${gauge.name}`, correlation: "unknown" },
  });
};
