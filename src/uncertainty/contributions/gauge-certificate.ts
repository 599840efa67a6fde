import { atReading, figureText } from "../bench-facts.ts";
import { contribution, ofExpanded } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/** Calibration of the reference gauge: U/k of its certificate at the indicated pressure. */
export const gaugeCertificate: ContributionLeaf = ({ gauge }, { output_kPa }) => {
  const { certificate } = gauge;
  const U = atReading(certificate.U, output_kPa);
  return contribution({
    id: "gauge-certificate",
    name: `calibration of ${gauge.name}`,
    evaluation: "B",
    distribution: "normal",
    given: `U = ${figureText(U)} kPa, k = ${certificate.k}`,
    u_input: ofExpanded(U, certificate.k),
    unit: "kPa",
    sensitivity: 1,
    degrees_of_freedom: certificate.degrees_of_freedom ?? Number.POSITIVE_INFINITY,
    source: `certificate ${certificate.number}`,
    common: {
      cause: certificate.cause ?? `certificate ${certificate.number}`,
      correlation: certificate.correlation ?? "unknown",
    },
  });
};
