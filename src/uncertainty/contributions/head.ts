import { figureText, type HeadFacts } from "../bench-facts.ts";
import { contribution, ofRectangle } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

const STANDARD_GRAVITY = 9.80665; // m/s2

/** Pressure of the gas column between gauge and unit, kPa: density difference x g x height. */
export const headPressure_kPa = (head: Pick<HeadFacts, "density_difference" | "height_m">): number =>
  (head.density_difference * STANDARD_GRAVITY * head.height_m) / 1e3;

/** Height between gauge and unit: what is left after the correction, or the whole column when there was none. */
export const head: ContributionLeaf = (bench) => {
  const facts = bench.head;
  if (facts === undefined) return null;
  const column = Math.abs(headPressure_kPa(facts));
  const doubt =
    headPressure_kPa({ density_difference: facts.density_difference, height_m: facts.height_half_width_m }) +
    headPressure_kPa({ density_difference: facts.density_half_width, height_m: Math.abs(facts.height_m) });
  const half_width = Math.abs(doubt) + (facts.corrected ? 0 : column);
  return contribution({
    id: "head",
    name: "height between gauge and unit",
    evaluation: "B",
    distribution: "rectangular",
    given: `half-width ${figureText(half_width)} kPa (${facts.corrected ? "corrected" : "not corrected"})`,
    u_input: ofRectangle(half_width),
    unit: "kPa",
    sensitivity: 1,
    source: "density x g x height",
    common: { cause: "height between gauge and unit", correlation: 1 },
  });
};
