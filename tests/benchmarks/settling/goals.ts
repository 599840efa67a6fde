import type { Report } from "./bench-settling.ts";

export interface Goal {
  /** Name of the figure in the JSON report. */
  readonly key: string;
  readonly name: string;
  readonly goal: string;
  readonly seen: number;
  readonly met: boolean;
}

const most = (key: string, name: string, seen: number, limit: number): Goal => ({
  key,
  name,
  goal: `<= ${limit}`,
  seen,
  met: !(seen > limit),
});

/** What the detector is meant to reach at a limit of 0.05 % of span, and whether this run shows it. */
export function goalsOf(report: Report): readonly Goal[] {
  const all = report.overall;
  const z = report.kinds.filter((k) => k.settling >= 20).map((k) => k.normalised);
  return [
    most("time_ratio_median", "time ratio to the oracle, median", all.ratioMedian, 1.12),
    most("time_ratio_p90", "time ratio to the oracle, 90th percentile", all.ratioP90, 1.45),
    most("time_ratio_total", "total time over the oracle's", all.total, 1.15),
    most("time_ratio_total_with_soak", "total with the hold of the exercise stroke", report.totalWithSoak, 1.6),
    most("false_settled_percent", "read too early, % of settling points", all.falsePercent, 0.05),
    most("false_beyond_twice_limit", "readings wrong by more than twice the limit", all.beyondTwice, 0),
    most(
      "false_settled_worst_kind_percent",
      "read too early in the worst kind, %",
      Math.max(0, ...report.kinds.map((k) => k.falsePercent)),
      0.3,
    ),
    most("not_called_settled_percent", "settling records not called settled, %", all.lostPercent, 0.2),
    most("never_settling_called_settled_percent", "never-settling records called settled, %", all.missedPercent, 1),
    most(
      "hunting_centre_p95_percent",
      "centre of hunting units, 95 %, % of span",
      report.kinds.find((k) => k.kind === "hunting")?.centreP95 ?? Number.NaN,
      0.02,
    ),
    {
      key: "normalised_error_least_kind",
      name: "error over stated u, least kind",
      goal: ">= 0.8",
      seen: Math.min(...z),
      met: !(Math.min(...z) < 0.8),
    },
    most("normalised_error_largest_kind", "error over stated u, largest kind", Math.max(...z), 1.1),
    most("cost_per_sample_median_us", "cost of a sample, median, us", report.costMedian_us, 20),
  ];
}

/** The figures that the goals are about, by name. */
export const goalFigures = (goals: readonly Goal[]): Readonly<Record<string, number>> =>
  Object.fromEntries(goals.map(({ key, seen }) => [key, seen]));

export function goalText(goals: readonly Goal[]): string {
  return goals
    .map((g) => `${g.met ? "met   " : "MISSED"}  ${g.name.padEnd(46)} ${g.goal.padStart(8)}   ${g.seen.toFixed(3)}`)
    .join("\n");
}
