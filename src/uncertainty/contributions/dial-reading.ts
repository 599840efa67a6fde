import { figureText } from "../bench-facts.ts";
import { contribution, ofRectangle } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/** A person reads a dial: the needle is placed to within a share of a division, both ways. */
export const dialReading: ContributionLeaf = ({ gauge }) => {
  if (gauge.dial === undefined) return null;
  const half_width = gauge.dial.division_kPa * gauge.dial.readable_share;
  return contribution({
    id: "dial-reading",
    name: `reading of the dial of ${gauge.name}`,
    evaluation: "B",
    distribution: "rectangular",
    given: `half-width ${figureText(half_width)} kPa, ${figureText(gauge.dial.readable_share)} of a division`,
    u_input: ofRectangle(half_width),
    unit: "kPa",
    sensitivity: 1,
    source: "JCGM 100:2008, 4.3.7; share of a division: common practice, no source",
  });
};
