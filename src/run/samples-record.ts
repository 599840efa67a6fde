import type { SeenSample } from "./capture.ts";

/** Samples as the record keeps them: instants, values, and the bytes they came from where there were any. */
export const samplesRecord = (samples: readonly SeenSample[]) => {
  const raw = samples.map(({ sample }) => (sample.ok ? (sample.value.raw ?? null) : null));
  return {
    at_s: samples.map((s) => s.at_s),
    pressure_kPa: samples.map(({ sample }) => (sample.ok ? sample.value.value.kPa : null)),
    ...(raw.every((bytes) => bytes === null) ? {} : { raw }),
  };
};
