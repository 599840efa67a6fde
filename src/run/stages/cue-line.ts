import type { CueSample } from "./adjusting-cue.ts";

/** Straight line through the samples: its value at the newest one, and its slope in kPa a second. */
export const lineOf = (samples: readonly CueSample[]): { readonly value: number; readonly slope: number } => {
  const n = samples.length;
  const end_s = samples.at(-1)?.at_s ?? 0;
  const mean = samples.reduce((sum, s) => sum + s.kPa, 0) / n;
  const meanT = samples.reduce((sum, s) => sum + (s.at_s - end_s), 0) / n;
  const stt = samples.reduce((sum, s) => sum + (s.at_s - end_s - meanT) ** 2, 0);
  const sty = samples.reduce((sum, s) => sum + (s.at_s - end_s - meanT) * (s.kPa - mean), 0);
  const slope = stt === 0 ? 0 : sty / stt;
  return { value: mean - slope * meanT, slope };
};
