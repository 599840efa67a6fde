import { failed, look, passed, skipped } from "./check.ts";

/** The gauge covers the whole output range, and measures against what the unit's range is stated against. */
export const gaugeRange = look("gauge-range", ({ context }) => {
  const { preflight, transfer } = context.request;
  const { range, mode } = preflight.gauge;
  if (mode !== transfer.output.mode) {
    return failed(
      `the gauge measures ${mode} pressure, the unit's range is ${transfer.output.mode} pressure`,
      "Gauge for absolute is an offset of about 101 kPa.",
      "Use a gauge of the mode the unit file states, or correct the mode.",
    );
  }
  if (range === null) return skipped("the bench file gives no range for the gauge");
  const { lower_kPa: low, upper_kPa: high } = transfer.output;
  const said = `gauge ${range.lower_kPa.toFixed(1)} to ${range.upper_kPa.toFixed(1)} kPa, unit ${low.toFixed(1)} to ${high.toFixed(1)} kPa`;
  return low >= range.lower_kPa && high <= range.upper_kPa
    ? passed(said)
    : failed(
        said,
        "Readings outside its range are not covered by the gauge's certificate.",
        "Use a gauge of a wider range.",
      );
});
