import { figureText } from "../bench-facts.ts";
import { contribution } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";
import { scatterOfMean } from "./scatter.ts";

/** Movement still to come when the reading was taken: what the capture's figure holds beyond the scatter of the mean. */
export const settling: ContributionLeaf = (_bench, point) => {
  const whole = point.u_settling_kPa ** 2;
  const rest = whole - scatterOfMean(point) ** 2;
  return contribution({
    id: "settling",
    name: "movement still to come",
    evaluation: "B",
    distribution: "normal",
    given: `u = ${figureText(point.u_settling_kPa)} kPa with the scatter, from the settling rule`,
    // What the subtraction leaves in the last binary digits is no movement.
    u_input: rest > 1e-9 * whole ? Math.sqrt(rest) : 0,
    unit: "kPa",
    sensitivity: 1,
    source: "settling rule of the run",
  });
};
