import { seriesName } from "../history/drift-series.ts";
import type { PointDrift } from "../history/unit-drift.ts";
import { proposalBy, type UnitReport } from "./history-report.ts";

const pointOf = (drift: PointDrift, next: string | null) => {
  const { series, trend } = drift;
  return {
    point: seriesName(series),
    nominal_percent: series.nominal_percent,
    direction: series.direction,
    limit_percent_span: series.limit_percent_span,
    runs: drift.runs,
    per_year_percent_span: drift.per_year,
    per_year_half_width: drift.per_year_half_width,
    drifts: drift.drifts,
    scatter_percent_span: trend.scatter,
    residual_sd_percent_span: trend.residual_sd,
    degrees_of_freedom: trend.degrees_of_freedom,
    weighted: trend.weighted,
    expected_leaves: drift.expected_leaves,
    earliest_leaves: drift.earliest_leaves,
    inside_until: drift.inside_until,
    predicted: next === null ? null : drift.at(next),
    points: series.points,
  };
};

/** A report as data. Errors are in % of output span, times in days and months, days as YYYY-MM-DD. */
export const historyJson = (report: UnitReport) => {
  const { history, drift, settings } = report;
  const next = proposalBy(report, "fixed")?.next_due ?? null;
  return {
    simulated: history.simulated,
    unit: history.unit,
    confidence: settings.confidence,
    calibrations: history.findings.map(({ fact, ...finding }) => ({
      ...finding,
      run_id: fact.run_id,
      range: fact.range,
      adjusted: fact.adjusted,
      as_found: fact.as_found,
      as_left: fact.as_left,
    })),
    interruptions: history.interruptions,
    left_out: history.left_out,
    same_tag: report.same_tag,
    drift:
      drift.kind === "too-few"
        ? { kind: drift.kind, why: drift.why }
        : {
            kind: drift.kind,
            leads: seriesName(drift.governing.series),
            points: drift.points.map((p) => pointOf(p, next)),
          },
    model: report.model,
    proposals: report.proposals,
  };
};
