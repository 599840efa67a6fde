import { seriesName } from "../drift-series.ts";
import type { UnitDrift } from "../unit-drift.ts";
import type { UnitHistory } from "../unit-history.ts";
import {
  carriedMonths,
  type IntervalSettings,
  lessonsOf,
  monthsUntil,
  type Proposal,
  proposed,
  refused,
} from "./proposal.ts";

/** Control chart: drift and scatter give the time for which the next result still is expected inside the limits. */
export const controlChart = (history: UnitHistory, settings: IntervalSettings, drift: UnitDrift): Proposal => {
  const about = {
    method: "control-chart" as const,
    name: "control chart (drift line)",
    source: "ILAC-G24 / OIML D 10, method 2; prediction interval of a line",
    would_change:
      "one more calibration: it narrows the band when it falls on the line, and widens or tilts it when not",
  };
  if (drift.kind === "too-few") return refused(about, `Nothing is predicted from ${drift.why}.`);
  const { series, runs, trend, per_year, per_year_half_width, inside_until, earliest_leaves } = drift.governing;
  const sure = `${(100 * trend.confidence).toFixed(0)} %`;
  const evidence = [
    `${runs} calibrations from ${series.points[0]?.date} to ${series.points.at(-1)?.date}; ${seriesName(series)} leads: ${per_year.toFixed(3)} ± ${per_year_half_width.toFixed(3)} % of span a year (${sure}).`,
    `One result scatters about the line with ${trend.scatter.toFixed(3)} % of span (${trend.degrees_of_freedom} degrees of freedom${trend.scatter > trend.residual_sd ? ", from the stated uncertainty: the residuals are smaller" : ""}).`,
  ];
  const last = history.findings.at(-1);
  if (inside_until === null || last === undefined) {
    return refused(
      about,
      `The ${sure} interval of the next result reaches the limit of ${series.limit_percent_span.toFixed(3)} % of span already now.`,
      evidence,
    );
  }
  const said =
    earliest_leaves === null
      ? `The ${sure} interval of the next result stays inside the limits for as long as the line is followed.`
      : `The ${sure} interval of the next result stays inside the limits until ${inside_until}.`;
  const months = monthsUntil(last.date, inside_until);
  if (months < 1) return refused(about, `${said} That is less than a month.`, evidence);
  return proposed(about, history, months, carriedMonths(lessonsOf(history), settings), [...evidence, said]);
};
