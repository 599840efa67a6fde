import { atReading, figureText } from "../bench-facts.ts";
import { contribution, ofExpanded } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/** Calibration of whoever says what current flowed. A higher true current means a higher ideal output, so a lower error. */
export const currentCertificate: ContributionLeaf = ({ current }, { applied_mA, slope_kPa_per_mA }) => {
  const { certificate } = current;
  const U = atReading(certificate.U, applied_mA);
  return contribution({
    id: "current-certificate",
    name: `calibration of ${current.name}`,
    evaluation: "B",
    distribution: "normal",
    given: `U = ${figureText(U)} mA, k = ${certificate.k}`,
    u_input: ofExpanded(U, certificate.k),
    unit: "mA",
    sensitivity: -slope_kPa_per_mA,
    degrees_of_freedom: certificate.degrees_of_freedom ?? Number.POSITIVE_INFINITY,
    source: `certificate ${certificate.number}`,
    common: {
      cause: certificate.cause ?? `certificate ${certificate.number}`,
      correlation: certificate.correlation ?? "unknown",
    },
  });
};
