import { figureText } from "../bench-facts.ts";
import { contribution, ofSpan } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/** Smallest step of the unit's own output: the part of the unit's resolution that belongs in U (ILAC-P14:09/2020, 5.4). */
export const unitStep: ContributionLeaf = ({ unit_step_kPa }) => {
  if (unit_step_kPa === undefined) return null;
  return contribution({
    id: "unit-step",
    name: "resolution of the unit under test",
    evaluation: "B",
    distribution: "rectangular",
    given: `step ${figureText(unit_step_kPa)} kPa`,
    u_input: ofSpan(unit_step_kPa),
    unit: "kPa",
    sensitivity: 1,
    source: "JCGM 100:2008, F.2.2.1; ILAC-P14:09/2020, 5.4",
  });
};
