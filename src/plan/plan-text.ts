import { fromKilopascal } from "../vocabulary/pressure-units.ts";
import { percentOfSpan } from "../vocabulary/quantities.ts";
import { pressureAt, type Transfer } from "../vocabulary/signal-range.ts";
import { type PlanTimes, planTimes, targetOf } from "./plan-times.ts";
import type { PlanStep, SettlingChoice, TestPlan } from "./test-plan.ts";

const settlingText = (choice: SettlingChoice): string => {
  switch (choice.rule) {
    case "detector":
      return `read when no more than ${choice.gamma * choice.limit_percent} % of span of movement can be left (limit ${choice.limit_percent} %)${choice.minimum_dwell_s > 0 ? `, not before ${choice.minimum_dwell_s} s` : ""}; given up after ${choice.timeout_s} s`;
    case "fixed-dwell":
      return `read ${choice.dwell_s} s after the last command, mean of the ${choice.average_s} s that follow; steadiness is not checked`;
    case "band":
      return `read when all readings of ${choice.window_s} s lie within ${choice.band_percent} % of span; given up after ${choice.timeout_s} s`;
    case "slope":
      return `read when the slope over ${choice.window_s} s is surely below ${choice.slope_percent_per_min} % of span per minute; given up after ${choice.timeout_s} s`;
  }
};

/** `1:05` for 65 s. */
const clock = (s: number): string => `${Math.floor(Math.round(s) / 60)}:${String(Math.round(s) % 60).padStart(2, "0")}`;

const what = (step: PlanStep): string => {
  if (step.kind === "point") return `read, ${step.direction}${step.cycle > 1 ? `, cycle ${step.cycle}` : ""}`;
  if (step.hold_s <= 0) return "move";
  return step.least_hold_s === undefined
    ? `move and hold ${step.hold_s} s`
    : `move and hold ${step.least_hold_s} to ${step.hold_s} s, until the unit is known`;
};

const row = (cells: readonly string[], widths: readonly number[]): string =>
  cells
    .map((cell, i) => (i === 1 ? cell.padEnd(widths[i] ?? 0) : cell.padStart(widths[i] ?? 0)))
    .join("  ")
    .trimEnd();

/**
 * The plan as a table a person can read before any port is opened: step, what is done, % of output span, mA, output in
 * the unit's own unit, estimated time at the end of the step.
 */
export const planText = (plan: TestPlan, transfer: Transfer, times: PlanTimes = planTimes(plan)): string => {
  const { unit } = transfer.output;
  const head = ["point", "what", "% of span", "mA", unit, "time about"];
  const body = times.steps.map(({ step, until_s }) => [
    step.kind === "point" ? String(step.ordinal) : "-",
    what(step),
    targetOf(step).toFixed(1),
    (step.kind === "point" ? step.nominal_mA : step.to_mA).toFixed(3),
    fromKilopascal(pressureAt(transfer.output, percentOfSpan(targetOf(step))), unit).toFixed(3),
    clock(until_s),
  ]);
  const widths = head.map((title, i) => Math.max(title.length, ...body.map((cells) => (cells[i] ?? "").length)));
  const points = plan.steps.filter((step) => step.kind === "point").length;
  return [
    `${plan.title} (${plan.sequence}): ${points} readings, about ${clock(times.total_s)} min without adjusting.`,
    ...plan.follows.map((sentence) => `- ${sentence}`),
    `- Set point ramped at ${plan.approach.ramp_percent_per_s} % of span per second; approached again after an overshoot of more than ${plan.approach.overshoot_percent} %.`,
    `- If it is adjusted: zero ${plan.adjust_at.zero_by === "lift-off" ? "by lift-off " : ""}at ${plan.adjust_at.lower_percent} %, span at ${plan.adjust_at.upper_percent} %.`,
    ...(plan.adjust_at.zero_by === "lift-off"
      ? [
          "- After the points its lift-off is looked for, about 1:30 min: it tells the zero error that no reading at zero pressure can show.",
        ]
      : []),
    `- Settling: ${settlingText(plan.settling)}.`,
    "",
    row(head, widths),
    ...body.map((cells) => row(cells, widths)),
    "",
  ].join("\n");
};
