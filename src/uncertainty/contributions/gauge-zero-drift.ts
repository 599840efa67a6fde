import { figureText } from "../bench-facts.ts";
import { contribution, ofSpan } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/** Change of the vented gauge's zero over the run: where between the two a point lies is not known. */
export const gaugeZeroDrift: ContributionLeaf = ({ gauge, gauge_zero_kPa }) => {
  if (gauge_zero_kPa === undefined) return null;
  const change = gauge_zero_kPa.after - gauge_zero_kPa.before;
  return contribution({
    id: "gauge-zero-drift",
    name: `zero of ${gauge.name} over the run`,
    evaluation: "B",
    distribution: "rectangular",
    given: `change ${figureText(change)} kPa`,
    u_input: ofSpan(change),
    unit: "kPa",
    sensitivity: 1,
    source: "DKD-R 6-1 (from memory), as JCGM 100:2008, F.2.2",
  });
};
