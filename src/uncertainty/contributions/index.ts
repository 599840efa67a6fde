import type { BenchFacts, PointFacts } from "../bench-facts.ts";
import type { Contribution } from "../point-uncertainty.ts";
import { betweenCycles } from "./between-cycles.ts";
import { creep } from "./creep.ts";
import { currentCertificate } from "./current-certificate.ts";
import { currentDrift } from "./current-drift.ts";
import { currentResolution } from "./current-resolution.ts";
import { currentTemperature } from "./current-temperature.ts";
import { dialReading } from "./dial-reading.ts";
import { directionSpan } from "./direction-span.ts";
import { gaugeCertificate } from "./gauge-certificate.ts";
import { gaugeDrift } from "./gauge-drift.ts";
import { gaugeHysteresis } from "./gauge-hysteresis.ts";
import { gaugeMounting } from "./gauge-mounting.ts";
import { gaugeResolution } from "./gauge-resolution.ts";
import { gaugeTemperature } from "./gauge-temperature.ts";
import { gaugeZeroDrift } from "./gauge-zero-drift.ts";
import { head } from "./head.ts";
import { scatter } from "./scatter.ts";
import { settling } from "./settling.ts";
import { unitStep } from "./unit-step.ts";

/** One contribution to the uncertainty of an error; null when it does not apply or is zero. */
export type ContributionLeaf = (bench: BenchFacts, point: PointFacts) => Contribution | null;

/** Every contribution there is, in the order of the printed budget. A new one is a file of its own and a line here. */
export const contributions: readonly ContributionLeaf[] = [
  gaugeCertificate,
  gaugeDrift,
  gaugeResolution,
  dialReading,
  gaugeTemperature,
  gaugeHysteresis,
  gaugeMounting,
  gaugeZeroDrift,
  head,
  currentCertificate,
  currentDrift,
  currentResolution,
  currentTemperature,
  unitStep,
  scatter,
  settling,
  creep,
  betweenCycles,
  directionSpan,
];
