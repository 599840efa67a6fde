import { atReading, figureText } from "../bench-facts.ts";
import { contribution, ofRectangle } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/** Drift of the reference gauge since its calibration. */
export const gaugeDrift: ContributionLeaf = ({ gauge }, { output_kPa }) => {
  if (gauge.drift === undefined) return null;
  const half_width = atReading(gauge.drift.limit, output_kPa);
  return contribution({
    id: "gauge-drift",
    name: `drift of ${gauge.name} since its calibration`,
    evaluation: "B",
    distribution: "rectangular",
    given: `half-width ${figureText(half_width)} kPa`,
    u_input: ofRectangle(half_width),
    unit: "kPa",
    sensitivity: 1,
    source: gauge.drift.known_from,
    common: { cause: `drift of ${gauge.name}`, correlation: "unknown" },
  });
};
