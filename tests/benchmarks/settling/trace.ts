/** One record of the benchmark: the gauge after one command, and the truth about it. Pressures in % of output span. */
export interface Truth {
  /** Endless-time value; null when the unit drifts for ever. */
  readonly p_inf: number | null;
  /** Noise-free indication 60 s after the command. */
  readonly p_at_60s: number;
  /** Range of the quasi-static value from 60 s to the end of the record. */
  readonly ref_lo: number;
  readonly ref_hi: number;
  readonly settles: boolean;
  readonly t_band_s: number | null;
  readonly oracle_time_s: number | null;
  /** Half the peak-to-peak of the last 120 s, noise-free. */
  readonly swing: number;
  readonly drift_per_min: number;
}

export interface Trace {
  readonly id: string;
  readonly kind: string;
  readonly plant: string;
  readonly seq: number;
  readonly role: "exercise" | "point";
  readonly from: number;
  readonly setpoint: number;
  readonly resolution: number;
  readonly sample_times_s: ArrayLike<number>;
  /** NaN stands for a poll without an answer. */
  readonly readings: ArrayLike<number>;
  readonly truth: Truth;
}

/** The same record as one line of a trace file. */
export function traceLine(trace: Trace): string {
  return JSON.stringify({
    ...trace,
    sample_times_s: Array.from(trace.sample_times_s, (t) => Number(t.toFixed(3))),
    readings: Array.from(trace.readings, (v) => (Number.isNaN(v) ? null : Number(v.toFixed(4)))),
  });
}

export function parseTraceLine(line: string): Trace {
  const raw = JSON.parse(line) as Omit<Trace, "readings"> & { readonly readings: readonly (number | null)[] };
  return {
    ...raw,
    sample_times_s: Float64Array.from(raw.sample_times_s),
    readings: Float64Array.from(raw.readings, (v) => v ?? Number.NaN),
  };
}
