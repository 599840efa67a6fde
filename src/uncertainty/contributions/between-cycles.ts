import { figureText } from "../bench-facts.ts";
import { contribution } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/** Repeatability of the unit from cycle to cycle; a single reading carries all of it, a mean of n cycles less. */
export const betweenCycles: ContributionLeaf = (_bench, { between_cycles }) => {
  if (between_cycles === undefined) return null;
  const { s_kPa, averaged_over, degrees_of_freedom, known_from } = between_cycles;
  return contribution({
    id: "between-cycles",
    name: "repeatability from cycle to cycle",
    evaluation: "A",
    distribution: "t",
    given: `s = ${figureText(s_kPa)} kPa, mean of ${averaged_over}`,
    u_input: s_kPa / Math.sqrt(averaged_over),
    unit: "kPa",
    sensitivity: 1,
    degrees_of_freedom,
    source: known_from,
  });
};
