import type { PointError, StageAnalysis } from "../../src/analysis/analysis.ts";

/** A point of a 20 to 100 kPa unit, with only what a test is about spelled out. */
export const pointError = (more: Partial<PointError> = {}): PointError => ({
  ordinal: 1,
  cycle: 1,
  direction: "rising",
  nominal_percent: 50,
  nominal_mA: 12,
  applied_mA: 12,
  applied_from: "measured",
  ideal_kPa: 60,
  output_kPa: 60 + (more.error_kPa ?? 0),
  error_kPa: 0,
  error_percent_span: (more.error_kPa ?? 0) / 0.8,
  error_percent_reading: (more.error_kPa ?? 0) / 0.6,
  output_at_nominal_kPa: 60 + (more.error_kPa ?? 0),
  clipped: "none",
  ...more,
});

export const stageAnalysis = (points: readonly PointError[]): StageAnalysis => ({
  stage: "as-found",
  span_kPa: 80,
  points,
  levels: [],
  figures: [],
  remarks: [],
});
