import type { SettlingRule, SettlingVerdict } from "../../../src/run/settling/settling-rule.ts";
import { isFinal } from "../../../src/run/settling/settling-rule.ts";
import type { Trace } from "./trace.ts";

export const timeout_s = 180;
/** The exercise stroke is held no longer than this. */
export const soak_s = 90;

export interface PointScore {
  readonly id: string;
  readonly kind: string;
  readonly settles: boolean;
  /** Swings close to half the limit are neither steady nor unsteady: not scored. */
  readonly marginal: boolean;
  readonly verdict: SettlingVerdict["kind"];
  readonly time: number;
  readonly oracle: number;
  /** Distance of the reading to the reference interval, with its sign; NaN without a reading. */
  readonly error: number;
  readonly u: number;
  /** Error against the noise-free value 60 s after the command. */
  readonly error60: number;
  readonly allowed: number;
  /** Distance of the centre of a hunting unit from its true centre. */
  readonly centreError: number;
}

export interface UnitScore {
  readonly points: readonly PointScore[];
  /** How long the exercise stroke was held, s. */
  readonly soak: number;
}

export interface ReplayOptions {
  readonly limit: number;
  readonly memory: boolean;
  /** Called with the duration of one call of `take`, in microseconds; leave out to save the time. */
  readonly cost?: (microseconds: number) => void;
}

/** Feeds one record sample by sample until the rule decides; the verdict and the time of the last sample used. */
export function replay(
  rule: SettlingRule,
  trace: Trace,
  clock: number,
  longest: number,
  cost?: (microseconds: number) => void,
): { readonly verdict: SettlingVerdict; readonly time: number } {
  rule.begin({ at_s: clock, from: trace.from, to: trace.setpoint, role: trace.role });
  let verdict: SettlingVerdict = { kind: "not-settled", waited_s: longest };
  for (let i = 0; i < trace.sample_times_s.length; i++) {
    const t = trace.sample_times_s[i] ?? 0;
    if (t > longest) break;
    const v = trace.readings[i] ?? Number.NaN;
    const sample = { time_s: clock + t, value: Number.isNaN(v) ? null : v };
    if (cost === undefined) verdict = rule.take(sample);
    else {
      const before = performance.now();
      verdict = rule.take(sample);
      cost((performance.now() - before) * 1000);
    }
    if (isFinal(verdict)) return { verdict, time: t };
  }
  return { verdict: isFinal(verdict) ? verdict : { kind: "not-settled", waited_s: longest }, time: longest };
}

/** Runs a rule over all records of one unit, in order, memory passing from one to the next. */
export function scoreUnit(make: () => SettlingRule, traces: readonly Trace[], options: ReplayOptions): UnitScore {
  let rule = make();
  let soak = 0;
  const points: PointScore[] = [];
  for (const [i, trace] of traces.entries()) {
    if (!options.memory) rule = make();
    const exercise = trace.role === "exercise";
    if (exercise && !options.memory) continue;
    const { verdict, time } = replay(rule, trace, i * 240, exercise ? soak_s : timeout_s, options.cost);
    if (exercise) soak += time;
    else points.push(scorePoint(trace, verdict, time, options.limit));
  }
  return { points, soak };
}

function scorePoint(trace: Trace, verdict: SettlingVerdict, time: number, limit: number): PointScore {
  const truth = trace.truth;
  const swing = truth.swing / (limit / 2);
  const moving = (truth.ref_hi - truth.ref_lo) / 2;
  const reading = verdict.kind === "settled" ? verdict.value : Number.NaN;
  const error =
    reading > truth.ref_hi
      ? reading - truth.ref_hi
      : reading < truth.ref_lo
        ? reading - truth.ref_lo
        : reading - reading;
  return {
    id: trace.id,
    kind: trace.kind,
    settles: truth.settles,
    marginal: truth.p_inf !== null && swing >= 0.7 && swing <= 1.4 && moving < 0.5 * truth.swing,
    verdict: verdict.kind,
    time,
    oracle: truth.oracle_time_s ?? Number.NaN,
    error,
    u: verdict.kind === "settled" ? verdict.u : Number.NaN,
    error60: reading - truth.p_at_60s,
    allowed: limit + trace.resolution / 2,
    centreError:
      verdict.kind === "hunting"
        ? Math.abs(verdict.centre - (truth.p_inf ?? (truth.ref_lo + truth.ref_hi) / 2))
        : Number.NaN,
  };
}

export interface Row {
  readonly kind: string;
  readonly points: number;
  readonly settling: number;
  readonly ratioMedian: number;
  readonly ratioP90: number;
  readonly total: number;
  readonly falsePercent: number;
  readonly falseCount: number;
  readonly beyondTwice: number;
  readonly errorP95: number;
  readonly errorMax: number;
  /** Settling records not called settled, %. */
  readonly lostPercent: number;
  readonly lostCount: number;
  readonly never: number;
  /** Never-settling records called settled, %. */
  readonly missedPercent: number;
  readonly missedCount: number;
  readonly huntingNamed: number;
  readonly centreP95: number;
  /** Root mean square of error / stated standard uncertainty. */
  readonly normalised: number;
  readonly normalised60: number;
}

export const quantile = (values: readonly number[], p: number): number => {
  if (values.length === 0) return Number.NaN;
  const sorted = values.toSorted((a, b) => a - b);
  const at = (sorted.length - 1) * p;
  const low = Math.floor(at);
  const a = sorted[low] ?? Number.NaN;
  return a + (at - low) * ((sorted[Math.min(low + 1, sorted.length - 1)] ?? a) - a);
};

const rms = (values: readonly number[]): number =>
  values.length === 0 ? Number.NaN : Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);

export function summarise(kind: string, all: readonly PointScore[]): Row {
  const points = all.filter((p) => !p.marginal);
  const settling = points.filter((p) => p.settles && Number.isFinite(p.oracle));
  const never = points.filter((p) => !p.settles);
  const read = settling.filter((p) => p.verdict === "settled");
  const ratios = read.map((p) => p.time / p.oracle);
  const wrong = read.filter((p) => Math.abs(p.error) > p.allowed);
  const lost = settling.length - read.length;
  const missed = never.filter((p) => p.verdict === "settled").length;
  const sum = (f: (p: PointScore) => number): number => settling.reduce((total, p) => total + f(p), 0);
  const hunting = points.filter((p) => p.verdict === "hunting");
  const errors = read.map((p) => Math.abs(p.error));
  return {
    kind,
    points: points.length,
    settling: settling.length,
    ratioMedian: quantile(ratios, 0.5),
    ratioP90: quantile(ratios, 0.9),
    total: sum((p) => (p.verdict === "settled" ? p.time : timeout_s)) / sum((p) => p.oracle),
    falsePercent: (100 * wrong.length) / Math.max(1, settling.length),
    falseCount: wrong.length,
    beyondTwice: read.filter((p) => Math.abs(p.error) > 2 * p.allowed).length,
    errorP95: quantile(errors, 0.95),
    errorMax: errors.reduce((a, b) => Math.max(a, b), 0),
    lostPercent: (100 * lost) / Math.max(1, settling.length),
    lostCount: lost,
    never: never.length,
    missedPercent: (100 * missed) / Math.max(1, never.length),
    missedCount: missed,
    huntingNamed: hunting.length,
    centreP95: quantile(
      hunting.filter((p) => !p.settles).map((p) => p.centreError),
      0.95,
    ),
    normalised: rms(read.map((p) => p.error / p.u)),
    normalised60: rms(read.map((p) => p.error60 / p.u)),
  };
}
