import { figureText } from "../bench-facts.ts";
import { contribution } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/**
 * Creep of the unit after the wait, as it was learned on its exercise stroke. How long one has to wait for the error of a
 * unit nobody says: the result lies anywhere between the reading and what an endless wait would show, and is not
 * corrected.
 */
export const creep: ContributionLeaf = (_bench, { u_creep_kPa }) => {
  if (u_creep_kPa === undefined) return null;
  return contribution({
    id: "creep",
    name: "creep of the unit after the wait",
    evaluation: "B",
    distribution: "normal",
    given: `u = ${figureText(u_creep_kPa)} kPa, learned on the exercise stroke`,
    u_input: u_creep_kPa,
    unit: "kPa",
    sensitivity: 1,
    source: "JCGM 100:2008, D.3.4 and F.2.4.5; learned by the settling rule on the exercise stroke",
  });
};
