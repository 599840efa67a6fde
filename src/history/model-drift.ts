import { mean, oneWayAnova } from "../analysis/statistics.ts";
import { DAYS_PER_YEAR } from "./calendar-days.ts";
import { stepsOf } from "./drift-series.ts";
import type { StudentT } from "./trend-line.ts";
import type { UnitHistory } from "./unit-history.ts";

/**
 * Shortest time between two runs from which a rate of drift is taken, days. Over less, what is divided by the time is
 * mostly the uncertainty of the two results. Common practice, no source.
 */
const SHORTEST_DAYS = 28;

/** Rate of drift of the units of one model, % of output span a year. */
export interface ModelRate {
  readonly figure: "zero error" | "span error";
  readonly units: number;
  readonly rates: number;
  readonly mean: number;
  /** Half-width of the confidence interval of the mean over units. */
  readonly half_width: number;
  /** Standard deviation from unit to unit; what one-way analysis of variance leaves after the spread within units. */
  readonly between_units: number;
  /** Standard deviation within a unit, from one stretch of time to the next; null when no unit has two rates. */
  readonly within_units: number | null;
}

/**
 * Pooled drift of one model: one-way random effects (units as the groups, rates between consecutive runs inside). The
 * mean is that of the unit means, each unit counting alike, with Student's t on units - 1 degrees of freedom.
 * null below two units with a rate.
 */
export const modelRate = (
  histories: readonly UnitHistory[],
  figure: ModelRate["figure"],
  confidence: number,
  studentT: StudentT,
): ModelRate | null => {
  const key = figure === "zero error" ? "zero_error_percent_span" : "span_error_percent_span";
  const groups = histories
    .map((history) =>
      stepsOf(history, key).flatMap(({ days, change }) =>
        days < SHORTEST_DAYS ? [] : [(change * DAYS_PER_YEAR) / days],
      ),
    )
    .filter((rates) => rates.length > 0);
  return pooledRate(groups, figure, confidence, studentT);
};

export const pooledRate = (
  groups: readonly (readonly number[])[],
  figure: ModelRate["figure"],
  confidence: number,
  studentT: StudentT,
): ModelRate | null => {
  const k = groups.length;
  if (k < 2) return null;
  const means = groups.map(mean);
  const centre = mean(means);
  const spread = Math.sqrt(means.reduce((s, m) => s + (m - centre) ** 2, 0) / (k - 1));
  const all = groups.flat().length;
  const anova = oneWayAnova(groups);
  const within = anova === null ? null : anova.ss_within / anova.df_within;
  // Size of a group in the expected mean square between groups of unequal size.
  const size = (all - groups.reduce((s, g) => s + g.length ** 2, 0) / all) / (k - 1);
  const between =
    anova === null || within === null
      ? spread
      : Math.sqrt(Math.max(0, (anova.ss_between / anova.df_between - within) / size));
  return {
    figure,
    units: k,
    rates: all,
    mean: centre,
    half_width: (studentT(0.5 + confidence / 2, k - 1) * spread) / Math.sqrt(k),
    between_units: between,
    within_units: within === null ? null : Math.sqrt(within),
  };
};
