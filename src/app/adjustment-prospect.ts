import { adjustmentOutlook } from "../adjust/adjustment-outlook.ts";
import { createGuide } from "../adjust/guide-at-stop.ts";
import type { StageResult } from "../certificate/certificate-input.ts";
import { correctedPressure, referencesOf } from "../config/reference-values.ts";
import { toleranceAt } from "../config/unit-values.ts";
import type { AdjustmentProspect } from "../vocabulary/adjustment.ts";
import { kPa } from "../vocabulary/quantities.ts";
import { pressureAt, spanOf } from "../vocabulary/signal-range.ts";
import type { Job } from "./prepare-job.ts";

/** What adjusting can do for the unit of a job, from its as-found results; null where they do not tell. */
export const adjustmentProspect = (job: Job, found: StageResult): AdjustmentProspect | null => {
  const { transfer, plan, unit } = job;
  const { pressure } = referencesOf(job.bench, job.station);
  const { lower_percent, upper_percent } = plan.adjust_at;
  const outlook = adjustmentOutlook(found.analysis, {
    at_percent: { lower: lower_percent, upper: upper_percent },
    ideal_kPa: {
      lower: pressureAt(transfer.output, lower_percent),
      upper: pressureAt(transfer.output, upper_percent),
    },
    limitAt: (ideal_kPa) => toleranceAt(unit, kPa(ideal_kPa)),
    unit: transfer.output.unit,
    ...(job.interplay === undefined ? {} : { interplay: job.interplay }),
    ...(transfer.output.mode === "gauge" ? { floor_kPa: kPa(0) } : {}),
    // The correction at a pressure and at what the gauge shows there differ by nothing that counts.
    ...(pressure === null
      ? {}
      : {
          indicated: (true_kPa) => kPa(true_kPa - (correctedPressure(pressure.measured, true_kPa) - true_kPa)),
        }),
  });
  if (outlook === null) return null;
  const { found: now, best, aims, words, can_pass } = outlook;
  const percent = (value_kPa: number): number => (100 * value_kPa) / spanOf(transfer.output);
  return {
    found_percent: percent(now.left_kPa),
    best_percent: percent(best.left_kPa),
    limit_percent: percent(best.left_share === 0 ? aims.tolerance_kPa : best.left_kPa / best.left_share),
    can_pass,
    wanted_lower_kPa: aims.wanted_kPa.lower,
    wanted_upper_kPa: aims.wanted_kPa.upper,
    words,
    next: createGuide(outlook, {
      at_percent: { lower: lower_percent, upper: upper_percent },
      span_kPa: spanOf(transfer.output),
    }),
  };
};
