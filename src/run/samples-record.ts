import type { SeenSample } from "./capture.ts";
import type { PointStart } from "./settling/settling-rule.ts";

/** Samples as the record keeps them: instants, values, and the bytes they came from where there were any. */
export const samplesRecord = (samples: readonly SeenSample[]) => {
  const raw = samples.map(({ sample }) => (sample.ok ? (sample.value.raw ?? null) : null));
  return {
    at_s: samples.map((s) => s.at_s),
    pressure_kPa: samples.map(({ sample }) => (sample.ok ? sample.value.value.kPa : null)),
    ...(raw.every((bytes) => bytes === null) ? {} : { raw }),
  };
};

/** The start of a wait as the record keeps it. */
export const waitRecord = ({ at_s, from, to, ramp_s, least_s }: PointStart) => ({
  at_s,
  from_percent: from,
  to_percent: to,
  ...(ramp_s === undefined ? {} : { ramp_s }),
  ...(least_s === undefined ? {} : { least_s }),
});
