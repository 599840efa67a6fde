import { deadBandAt, deadBandOf } from "../analysis/examination/dead-band-test.ts";
import { holdFigures } from "../analysis/examination/hold-figures.ts";
import { leakLimit_kPa_per_min, leakTest } from "../analysis/examination/leak-test.ts";
import { linePart, type StepResponse, stepResponse } from "../analysis/examination/step-response.ts";
import { atSupply, droop_kPa, mountingShift, supplyInfluence } from "../analysis/examination/supply-influence.ts";
import { endOf, type Trace, tracesOf } from "../analysis/examination/trace.ts";
import type { ExaminationRecord } from "../readings/run-record.ts";
import { zeroErrorByLiftOff } from "../vocabulary/lift-off.ts";
import { kPa, percentOfSpan } from "../vocabulary/quantities.ts";
import { inputFor, percentOf, spanOf } from "../vocabulary/signal-range.ts";
import { LIFT_OFF } from "./examination-job.ts";
import { liftOffResult } from "./lift-off-search.ts";
import type { Job } from "./prepare-job.ts";

/** Results of a test in sentences with their figures, from the record alone. */

const s = (value: number | null): string => (value === null ? "-" : `${value.toFixed(2)} s`);

const stepLines = (name: string, step: StepResponse | null, limit_s: number | null): readonly string[] => {
  if (step === null) return [`${name}: the output did not follow the step`];
  const over =
    step.overshoot_percent_of_step > 0.5
      ? `, overshoot ${step.overshoot_percent_of_step.toFixed(1)} % of the step`
      : "";
  const judged =
    limit_s === null || step.settling_s === null
      ? ""
      : step.settling_s <= limit_s
        ? ` (limit ${limit_s} s: kept)`
        : ` (limit ${limit_s} s: NOT kept)`;
  const model = step.model;
  return [
    `${name} (${step.from_percent} to ${step.to_percent} %): dead time ${s(step.dead_time_s)}, T63 ${s(step.t63_s)}, T90 ${s(step.t90_s)}, settled within 1 % after ${s(step.settling_s)}${judged}${over}, at most ${step.greatest_rate_percent_per_s.toFixed(1)} % of span a second`,
    ...(model === null
      ? []
      : [
          `  as volume and restriction: dead time ${model.dead_time_s.toFixed(2)} s, time constants ${model.tau_s.toFixed(2)} s and ${model.line_tau_s.toFixed(2)} s${model.rate_percent_per_s === null ? "" : `, flow limits it to ${model.rate_percent_per_s.toFixed(1)} % of span a second`}; the model leaves ${model.misfit_percent.toFixed(2)} % of span`,
        ]),
  ];
};

const stepReport = (job: Job, traces: readonly Trace[]): readonly string[] => {
  const span = spanOf(job.transfer.output);
  const limit = job.unit.settling_limit?.s ?? null;
  const steps = traces.map((trace) => ({ trace, step: stepResponse(trace, span) }));
  const lines = steps.flatMap(({ trace, step }) => stepLines(trace.name, step, limit));
  const find = (name: string) => steps.find(({ trace }) => trace.name === name)?.step ?? null;
  const parts = ["step up", "step down"].flatMap((way) => {
    const [short, installed] = [find(`short line, ${way}`), find(`installed line, ${way}`)];
    const part = short === null || installed === null ? null : linePart(short, installed);
    return part === null ? [] : [`${way}: the installed line plays ${(100 * part).toFixed(0)} % of T63`];
  });
  return [...lines, ...parts];
};

const supplyReport = (job: Job, traces: readonly Trace[]): readonly string[] => {
  const toPercent = (pressure: number): number => percentOf(job.transfer.output, kPa(pressure));
  const readings = traces.flatMap((trace) => {
    const at = trace.name.endsWith("output") ? atSupply(trace, toPercent) : null;
    return at === null ? [] : [at];
  });
  const filling = traces.find((trace) => trace.name === "filling");
  const droop = filling === undefined ? null : droop_kPa(filling);
  const influence = supplyInfluence(readings);
  return [
    ...readings.map(
      (r) =>
        `supply ${r.supply_kPa.toFixed(1)} kPa, input ${r.input_percent} %: error ${(r.output_percent - r.input_percent).toFixed(3)} % of span`,
    ),
    influence === null
      ? "no supply reading, so no influence of the supply can be told"
      : `influence of the supply: ${influence.percent_per_10_kPa.toFixed(3)} % of span for 10 kPa at ${influence.at_percent} %${influence.lowest_full_kPa === null ? "" : `; full output held down to ${influence.lowest_full_kPa.toFixed(0)} kPa`}`,
    ...(droop === null ? [] : [`while filling the supply fell by ${droop.toFixed(1)} kPa`]),
  ];
};

/** How long a reading may have to stand behind a closed valve, s; common practice, no source. */
const LEAK_HOLD_S = 30;

const leakReport = (job: Job, traces: readonly Trace[]): readonly string[] => {
  const closed = traces.find((trace) => trace.name === "closed");
  const leak = closed === undefined ? null : leakTest(closed);
  if (leak === null) return ["no decay was recorded"];
  const U = job.preflight.gauge.U_kPa;
  const limit = leakLimit_kPa_per_min(U > 0 ? U : 0.0005 * spanOf(job.transfer.output), LEAK_HOLD_S);
  const percent = (100 * leak.loss_kPa_per_min) / spanOf(job.transfer.output);
  return [
    `loss behind the closed valve at ${leak.at_kPa.toFixed(1)} kPa: ${leak.loss_kPa_per_min.toFixed(4)} kPa a minute (u ${leak.u_kPa_per_min.toFixed(4)}), ${percent.toFixed(3)} % of span a minute`,
    `limit from the uncertainty of the gauge: ${limit.toFixed(4)} kPa a minute: ${leak.loss_kPa_per_min <= limit ? "kept" : "NOT kept"}`,
    ...(leak.heat_kPa === 0
      ? []
      : [`heat of filling that died away: ${leak.heat_kPa.toFixed(3)} kPa; not counted as a leak`]),
  ];
};

const deadBandReport = (job: Job, traces: readonly Trace[]): readonly string[] => {
  const toPercent = (pressure: number): number => percentOf(job.transfer.output, kPa(pressure));
  const places = traces.map((trace) => deadBandAt(trace, toPercent));
  const known = places.filter((place) => place !== null);
  const figure = deadBandOf(known, job.transfer.input);
  return [
    ...places.map((place, i) =>
      place === null
        ? `${traces[i]?.name ?? "stairs"}: the output never followed; the dead band is wider than the stairs`
        : `at ${place.at_percent} %: dead band ${place.dead_band_percent.toFixed(3)} % of span`,
    ),
    ...(figure === null
      ? []
      : [`dead band: ${figure.value.toFixed(3)} % of input span at ${figure.at_percent} % (${figure.definition})`]),
  ];
};

const holdReport = (job: Job, traces: readonly Trace[]): readonly string[] => {
  const toPercent = (pressure: number): number => percentOf(job.transfer.output, kPa(pressure));
  return traces.map((trace) => {
    const hold = holdFigures(trace, toPercent);
    if (hold === null) return `${trace.name}: too few readings`;
    const swing =
      hold.swing === null
        ? "does not hunt"
        : `HUNTS ${hold.swing.amplitude_percent.toFixed(3)} % of span either way every ${hold.swing.period_s.toFixed(1)} s`;
    return `${trace.name}: ${swing}; drift ${hold.drift_percent_per_min.toFixed(3)} % of span a minute (u ${hold.u_drift_percent_per_min.toFixed(3)}); crept ${hold.creep_percent.toFixed(3)} %; noise ${hold.noise_percent.toFixed(4)} %`;
  });
};

const mountingReport = (job: Job, traces: readonly Trace[]): readonly string[] => {
  const at = traces.flatMap((trace) => {
    const [position = "", place = ""] = trace.name.split(/, (?=\d)/u);
    const end = endOf(trace, 4);
    return end === null ? [] : [{ position, place, output_percent: percentOf(job.transfer.output, kPa(end)) }];
  });
  return [...new Set(at.map((a) => a.place))].flatMap((place) => {
    const here = at.filter((a) => a.place === place);
    const [upright] = here;
    return upright === undefined
      ? []
      : here
          .slice(1)
          .map((other) => `${place}: ${other.position}: shift ${mountingShift(upright, other).toFixed(3)} % of span`);
  });
};

const liftOffReport = (job: Job, examination: ExaminationRecord): readonly string[] => {
  const events = examination.traces.map((t) => ({ kind: "trace-taken" as const, ...t }));
  const found = liftOffResult(job, events);
  if (found.kind === "not-found") return [`no lift-off: ${found.why}`];
  const { transfer } = job;
  const current = inputFor(transfer, percentOfSpan(found.input_percent));
  const [zero, full] = [inputFor(transfer, percentOfSpan(0)), inputFor(transfer, percentOfSpan(100))];
  const zero_mA = Math.sign(full - zero) * (zero - current);
  const zero_percent = (100 * zeroErrorByLiftOff(transfer, found.input_percent)) / spanOf(transfer.output);
  return [
    `lift-off at ${current.toFixed(4)} mA (${found.input_percent.toFixed(3)} % of input span, u ${found.u_percent.toFixed(3)} %), rising`,
    `zero error: ${zero_mA.toFixed(4)} mA, ${zero_percent.toFixed(3)} % of span (the output lifts off ${found.input_percent > 0 ? "late: zero is low" : "early: zero is high"})`,
    `lag near zero about ${found.lag_s.toFixed(1)} s; search took ${(examination.traces.at(-1)?.at_s ?? 0) - examination.started_at_s < 0 ? "-" : ((examination.traces.at(-1)?.at_s ?? 0) - examination.started_at_s).toFixed(0)} s`,
  ];
};

/** All that a test says, from what was recorded of it. */
export const examinationReport = (job: Job, examination: ExaminationRecord): readonly string[] => {
  const traces = tracesOf(examination);
  const lines = (): readonly string[] => {
    switch (examination.test) {
      case "step-response":
      case "line":
        return stepReport(job, traces);
      case "supply":
        return supplyReport(job, traces);
      case "leak":
        return leakReport(job, traces);
      case "dead-band":
        return deadBandReport(job, traces);
      case "hold":
        return holdReport(job, traces);
      case "mounting":
        return mountingReport(job, traces);
      case LIFT_OFF:
        return liftOffReport(job, examination);
      default:
        return [`nothing is known of a test "${examination.test}"`];
    }
  };
  const why = examination.ending?.why;
  return [
    `${examination.title}${examination.ending?.outcome === "complete" ? "" : ` (INCOMPLETE${why === undefined ? "" : `: ${why}`})`}`,
    ...lines().map((line) => `  ${line}`),
  ];
};
