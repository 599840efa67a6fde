import type { PlanLimits } from "../../src/plan/make-plan.ts";
import { kPa, mA } from "../../src/vocabulary/quantities.ts";
import type { Transfer } from "../../src/vocabulary/signal-range.ts";

/** The valve converter of a brewery's keg line: 4-20 mA to 20-100 kPa. */
export const kegLine: Transfer = {
  input: { lower_mA: mA(4), upper_mA: mA(20) },
  output: { lower_kPa: kPa(20), upper_kPa: kPa(100), unit: "kPa", mode: "gauge" },
  action: "direct",
  characteristic: "linear",
};

export const kegLimits: PlanLimits = {
  current: { lower_mA: mA(0), upper_mA: mA(22) },
  bench_kPa: kPa(200),
  unit_kPa: kPa(150),
};
