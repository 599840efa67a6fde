import { figureText } from "../bench-facts.ts";
import { contribution, ofRectangle } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/** Position of the reference gauge: a shift that is the same at every point. */
export const gaugeMounting: ContributionLeaf = ({ gauge }) => {
  if (gauge.mounting === undefined) return null;
  return contribution({
    id: "gauge-mounting",
    name: `position of ${gauge.name}`,
    evaluation: "B",
    distribution: "rectangular",
    given: `half-width ${figureText(gauge.mounting)} kPa`,
    u_input: ofRectangle(gauge.mounting),
    unit: "kPa",
    sensitivity: 1,
    source: "largest effect of position stated for the gauge",
    common: { cause: `position of ${gauge.name}`, correlation: 1 },
  });
};
