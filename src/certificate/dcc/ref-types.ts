/**
 * Names that say what a quantity is, from the public cross-community vocabulary (digilab.ptb.de/dkd/refType/vocab), as far
 * as seen in use in published certificates by 2026-02. The vocabulary grows: an unknown name is worth a remark, never a
 * refusal.
 */
const BASIC = new Set(
  // Seen in use.
  (
    "nominalValue referenceValue measuredValue measurementError conformity acceptanceLimitUpper " +
    "methodMeasurementUncertainty isInCMC " +
    // From memory.
    "acceptanceLimitLower methodConformity serialNumber orderNumber temperature temperatureMin temperatureMax " +
    "humidityRelative humidityRelativeMin humidityRelativeMax pressure arithmenticMean standardDeviation"
  ).split(" "),
);

/** A name of another community's vocabulary cannot be judged here. */
export const isKnownRefType = (name: string): boolean => {
  const [community, ...rest] = name.split("_");
  return community !== "basic" || BASIC.has(rest.join("_"));
};
