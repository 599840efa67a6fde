import type { ExaminationRecord, RecordedTrace } from "../../readings/run-record.ts";

/** One stretch of a test, as the analysis of it wants it. Times from the last command; pressures in kPa. */
export interface Trace {
  readonly name: string;
  readonly from_percent: number;
  readonly to_percent: number;
  readonly samples: readonly TracePoint[];
  readonly supply: readonly { readonly t_s: number; readonly kPa: number }[];
}

export interface TracePoint {
  readonly t_s: number;
  readonly kPa: number;
  /** Input at this moment, % of output span. */
  readonly input_percent: number;
}

const traceOf = (recorded: RecordedTrace): Trace => {
  const { name, from_percent, to_percent, commanded_s, samples, input_percent, supply } = recorded;
  return {
    name,
    from_percent,
    to_percent,
    samples: samples.at_s.flatMap((at_s, i) => {
      const kPa = samples.pressure_kPa[i];
      const before = at_s < commanded_s ? from_percent : to_percent;
      return kPa === null || kPa === undefined
        ? []
        : [{ t_s: at_s - commanded_s, kPa, input_percent: input_percent?.[i] ?? before }];
    }),
    supply: (supply?.at_s ?? []).map((at_s, i) => ({
      t_s: at_s - commanded_s,
      kPa: supply?.pressure_kPa[i] ?? Number.NaN,
    })),
  };
};

export const tracesOf = (examination: ExaminationRecord): readonly Trace[] => examination.traces.map(traceOf);

export const mean = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length;

/** Noise of single readings from second differences, which a slow movement does not touch: sqrt(mean d2^2 / 6). */
export const noiseOf = (values: readonly number[]): number => {
  if (values.length < 5) return 0;
  const d2 = values.slice(2).map((v, i) => v - 2 * (values[i + 1] ?? v) + (values[i] ?? v));
  return Math.sqrt(mean(d2.map((d) => d * d)) / 6);
};

/** Mean of the readings of the last `over_s` of a trace; null without any. */
export const endOf = (trace: Trace, over_s: number): number | null => {
  const end_s = trace.samples.at(-1)?.t_s ?? 0;
  const late = trace.samples.filter((s) => s.t_s > end_s - over_s).map((s) => s.kPa);
  return late.length === 0 ? null : mean(late);
};
