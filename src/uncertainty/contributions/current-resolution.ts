import { figureText } from "../bench-facts.ts";
import { contribution, ofSpan } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/** Digital step of the current meter, or setting step of the source. */
export const currentResolution: ContributionLeaf = ({ current }, { slope_kPa_per_mA }) => {
  if (current.resolution === undefined) return null;
  return contribution({
    id: "current-resolution",
    name: `resolution of ${current.name}`,
    evaluation: "B",
    distribution: "rectangular",
    given: `step ${figureText(current.resolution)} mA`,
    u_input: ofSpan(current.resolution),
    unit: "mA",
    sensitivity: -slope_kPa_per_mA,
    source: "JCGM 100:2008, F.2.2.1",
  });
};
