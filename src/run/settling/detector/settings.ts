export interface DetectorSettings {
  /** Accuracy asked of a recorded reading, % of span; 0.05 when left out. */
  readonly limit?: number;
  /** Display digit, % of span; null: learn it. */
  readonly resolution?: number | null;
  /** Update period of the gauge, s; null: learn it. */
  readonly updatePeriod_s?: number | null;
  /** Share of the limit that movement still to come may use. */
  readonly gamma?: number;
  /** Probability of exceeding that share above which no reading is taken. */
  readonly alpha?: number;
  /** When waiting ends with "not settled", s after the command. */
  readonly timeout_s?: number;
  /** No reading is taken sooner after the command than this. */
  readonly minimumDwell_s?: number;
  /** Hysteresis is judged on these readings: lag counts twice there, so less of it is allowed. */
  readonly forHysteresis?: boolean;
  /** Shortest and longest hold of an exercise stroke, s. */
  readonly exerciseShortest_s?: number;
  readonly exerciseLongest_s?: number;
}

export type Resolved = Required<Omit<DetectorSettings, "forHysteresis">>;

/** Fills in what was left out; nonsense (zero, negative, not a number) counts as left out. */
export function resolveSettings(settings: DetectorSettings): Resolved {
  const positive = (value: number | null | undefined, standard: number): number =>
    typeof value === "number" && Number.isFinite(value) && value > 0 ? value : standard;
  const known = (value: number | null | undefined): number | null => {
    const v = positive(value, 0);
    return v > 0 ? v : null;
  };
  const shortest = positive(settings.exerciseShortest_s, 45);
  return {
    limit: positive(settings.limit, 0.05),
    resolution: known(settings.resolution),
    updatePeriod_s: known(settings.updatePeriod_s),
    gamma: positive(settings.gamma, settings.forHysteresis === true ? 0.25 : 0.55),
    alpha: positive(settings.alpha, 0.003),
    timeout_s: positive(settings.timeout_s, 180),
    minimumDwell_s: positive(settings.minimumDwell_s, 0),
    exerciseShortest_s: shortest,
    exerciseLongest_s: Math.max(shortest, positive(settings.exerciseLongest_s, 90)),
  };
}
