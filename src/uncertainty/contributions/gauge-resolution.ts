import { figureText } from "../bench-facts.ts";
import { contribution, ofSpan } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/** Digital step of the reference gauge. A dial that a person reads has its readability instead. */
export const gaugeResolution: ContributionLeaf = ({ gauge }) => {
  if (gauge.resolution === undefined || gauge.dial !== undefined) return null;
  return contribution({
    id: "gauge-resolution",
    name: `resolution of ${gauge.name}`,
    evaluation: "B",
    distribution: "rectangular",
    given: `step ${figureText(gauge.resolution)} kPa`,
    u_input: ofSpan(gauge.resolution),
    unit: "kPa",
    sensitivity: 1,
    source: "JCGM 100:2008, F.2.2.1",
  });
};
