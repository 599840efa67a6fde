import type { Milliamp } from "./quantities.ts";

/**
 * In which band a 4-20 mA signal lies. NAMUR NE 43 (read in public summaries): measurement 3.8 to 20.5 mA, failure
 * below 3.6 or above 21.0 mA. That 3.6 and 21.0 themselves belong to failure is from memory. Between the bands the
 * recommendation says nothing, so neither do we. A loop that was commanded into the measuring range and reads a
 * failure band is open, short-circuited or out of compliance.
 */
export type LoopSignalBand =
  | "failure-low"
  | "undefined-low"
  | "valid-saturation-low"
  | "valid"
  | "valid-saturation-high"
  | "undefined-high"
  | "failure-high";

export const loopSignalBand = (current: Milliamp): LoopSignalBand => {
  if (current <= 3.6) return "failure-low";
  if (current < 3.8) return "undefined-low";
  if (current < 4) return "valid-saturation-low";
  if (current <= 20) return "valid";
  if (current <= 20.5) return "valid-saturation-high";
  return current < 21 ? "undefined-high" : "failure-high";
};
