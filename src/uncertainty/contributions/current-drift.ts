import { atReading, figureText } from "../bench-facts.ts";
import { contribution, ofRectangle } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/** Drift of the current meter, or of the source, since its calibration. */
export const currentDrift: ContributionLeaf = ({ current }, { applied_mA, slope_kPa_per_mA }) => {
  if (current.drift === undefined) return null;
  const half_width = atReading(current.drift.limit, applied_mA);
  return contribution({
    id: "current-drift",
    name: `drift of ${current.name} since its calibration`,
    evaluation: "B",
    distribution: "rectangular",
    given: `half-width ${figureText(half_width)} mA`,
    u_input: ofRectangle(half_width),
    unit: "mA",
    sensitivity: -slope_kPa_per_mA,
    source: current.drift.known_from,
    common: { cause: `drift of ${current.name}`, correlation: "unknown" },
  });
};
