import { figureText } from "../bench-facts.ts";
import { contribution, ofSpan } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/** Hysteresis of the reference gauge itself. */
export const gaugeHysteresis: ContributionLeaf = ({ gauge }) => {
  if (gauge.hysteresis === undefined) return null;
  return contribution({
    id: "gauge-hysteresis",
    name: `hysteresis of ${gauge.name}`,
    evaluation: "B",
    distribution: "rectangular",
    given: `rising to falling ${figureText(gauge.hysteresis)} kPa`,
    u_input: ofSpan(gauge.hysteresis),
    unit: "kPa",
    sensitivity: 1,
    source: "JCGM 100:2008, F.2.2.2",
  });
};
