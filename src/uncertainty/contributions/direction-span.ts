import { figureText } from "../bench-facts.ts";
import { contribution, ofSpan } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/** Hysteresis of the unit, when one figure stands for both directions. */
export const directionSpan: ContributionLeaf = (_bench, { direction_span_kPa }) => {
  if (direction_span_kPa === undefined) return null;
  return contribution({
    id: "direction-span",
    name: "hysteresis of the unit",
    evaluation: "B",
    distribution: "rectangular",
    given: `rising to falling ${figureText(direction_span_kPa)} kPa`,
    u_input: ofSpan(direction_span_kPa),
    unit: "kPa",
    sensitivity: 1,
    source: "JCGM 100:2008, F.2.2.2",
  });
};
