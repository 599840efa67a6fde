import { stepResponse } from "../analysis/examination/step-response.ts";
import { atSupply } from "../analysis/examination/supply-influence.ts";
import { type Trace, tracesOf } from "../analysis/examination/trace.ts";
import { volumeAnswer } from "../analysis/examination/volume-answer.ts";
import type { ExaminationRecord } from "../readings/run-record.ts";
import { kPa } from "../vocabulary/quantities.ts";
import { percentOf, spanOf, type Transfer } from "../vocabulary/signal-range.ts";

/** A drawing of one test as data, in the units of its axes. */
export interface ExaminationPlot {
  readonly title: string;
  readonly x: string;
  readonly y: string;
  /** Readings are dots, what was fitted to them is a line. */
  readonly series: readonly PlotSeries[];
}

export interface PlotSeries {
  readonly name: string;
  readonly kind: "dots" | "line";
  readonly points: readonly (readonly [x: number, y: number])[];
}

const OUTPUT = "output, % of span";
const TIME = "time, s";
/** By then a converter has followed its step; common practice, no source. */
const HOLD_FROM_S = 15;

type ToPercent = (pressure_kPa: number) => number;

const overTime = (trace: Trace, toPercent: ToPercent): PlotSeries => ({
  name: "readings",
  kind: "dots",
  points: trace.samples.map((s) => [s.t_s, toPercent(s.kPa)] as const),
});

/** The step with its model of volume and restriction. */
const stepPlot = (trace: Trace, toPercent: ToPercent, span_kPa: number): ExaminationPlot => {
  const step = stepResponse(trace, span_kPa);
  const model = step?.model ?? null;
  const times = trace.samples.filter((s) => s.t_s > 0).map((s) => s.t_s);
  const before = trace.samples.filter((s) => s.t_s <= 0).map((s) => toPercent(s.kPa));
  const after = trace.samples.slice(-5).map((s) => toPercent(s.kPa));
  const mean = (v: readonly number[]): number => v.reduce((sum, x) => sum + x, 0) / Math.max(1, v.length);
  const [from, to] = [mean(before), mean(after)];
  const fitted: PlotSeries[] =
    model === null
      ? []
      : [
          {
            name: "volume and restriction",
            kind: "line",
            points: volumeAnswer(times, {
              theta: model.dead_time_s,
              tau: model.tau_s,
              line: model.line_tau_s,
              rate: model.rate_percent_per_s === null ? null : model.rate_percent_per_s / Math.abs(to - from),
            }).map((share, i) => [times[i] ?? 0, from + share * (to - from)] as const),
          },
        ];
  return { title: trace.name, x: TIME, y: OUTPUT, series: [overTime(trace, toPercent), ...fitted] };
};

/** Error over supply, one series an input. */
const supplyPlots = (traces: readonly Trace[], toPercent: ToPercent): readonly ExaminationPlot[] => {
  const readings = traces.flatMap((t) => (t.name.endsWith("output") ? (atSupply(t, toPercent) ?? []) : []));
  if (readings.length === 0) return [];
  const inputs = [...new Set(readings.map((r) => r.input_percent))];
  return [
    {
      title: "influence of the supply",
      x: "supply, kPa",
      y: "error, % of span",
      series: inputs.map((input) => ({
        name: `input ${input} %`,
        kind: "line",
        points: readings
          .filter((r) => r.input_percent === input)
          .map((r) => [r.supply_kPa, r.output_percent - input] as const)
          .toSorted((a, b) => a[0] - b[0]),
      })),
    },
  ];
};

const overInput = (trace: Trace, toPercent: ToPercent): ExaminationPlot => ({
  title: trace.name,
  x: "input, % of span",
  y: OUTPUT,
  series: [
    { name: "readings", kind: "dots", points: trace.samples.map((s) => [s.input_percent, toPercent(s.kPa)] as const) },
  ],
});

/** What a test looked like; nothing for a test that is only a few figures. */
export const examinationPlots = (
  transfer: Transfer,
  examination: Pick<
    ExaminationRecord,
    "test" | "traces" | "title" | "asked" | "ending" | "started_at_s" | "started_utc"
  >,
): readonly ExaminationPlot[] => {
  const toPercent: ToPercent = (pressure_kPa) => percentOf(transfer.output, kPa(pressure_kPa));
  const traces = tracesOf(examination);
  switch (examination.test) {
    case "step-response":
    case "line":
      return traces.map((trace) => stepPlot(trace, toPercent, spanOf(transfer.output)));
    case "supply":
      return supplyPlots(traces, toPercent);
    case "hold":
      // The way there is no part of the hold, and would hide it.
      return traces.map((trace) => ({
        title: trace.name,
        x: TIME,
        y: OUTPUT,
        series: [overTime({ ...trace, samples: trace.samples.filter((s) => s.t_s > HOLD_FROM_S) }, toPercent)],
      }));
    case "leak":
      return traces.map((trace) => ({
        title: trace.name,
        x: TIME,
        y: OUTPUT,
        series: [overTime({ ...trace, samples: trace.samples.filter((s) => s.t_s > 0) }, toPercent)],
      }));
    case "dead-band":
      return traces.map((trace) => overInput(trace, toPercent));
    case "lift-off":
      return traces.filter((trace) => trace.name.startsWith("rise")).map((trace) => overInput(trace, toPercent));
    default:
      return [];
  }
};
