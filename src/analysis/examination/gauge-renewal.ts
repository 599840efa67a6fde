/** A reading and the instant at which it was answered, s. */
interface Answered {
  readonly t_s: number;
  readonly kPa: number;
}

/** When a gauge measures: every `period_s`, at `phase_s` and whole periods from there. */
export interface Renewal {
  readonly period_s: number;
  readonly phase_s: number;
}

/** Periods at which digital gauges renew their value, s; common practice, no source. */
const PERIODS_S = [0.02, 0.04, 0.05, 0.1, 0.125, 0.2, 0.25, 1 / 3, 0.4, 0.5, 1] as const;
const PHASES = 50;
/** Fewer repeated values say nothing of when the gauge measures. */
const LEAST_REPEATS = 6;
/** A value that changes within one period speaks this much louder than two measurements that happen to be alike. */
const CHANGE_WEIGHT = 5;
/** Share of neighbours that may change within a period all the same: a lost poll, a late answer. */
const MOST_CHANGES = 0.01;

const cellOf = (t_s: number, { period_s, phase_s }: Renewal): number => Math.floor((t_s - phase_s) / period_s);

interface Fit {
  readonly renewal: Renewal;
  /** Changed within one period; stayed over several; repeated within one. */
  readonly changed: number;
  readonly stayed: number;
  readonly repeated: number;
}

const fitOf = (readings: readonly Answered[], renewal: Renewal): Fit => {
  let [changed, stayed, repeated] = [0, 0, 0];
  let before: { readonly kPa: number; readonly cell: number } | null = null;
  for (const { t_s, kPa } of readings) {
    const cell = cellOf(t_s, renewal);
    if (before !== null) {
      const [alike, together] = [kPa === before.kPa, cell === before.cell];
      if (together && !alike) changed += 1;
      if (together && alike) repeated += 1;
      if (!together && alike) stayed += 1;
    }
    before = { kPa, cell };
  }
  return { renewal, changed, stayed, repeated };
};

const costOf = ({ changed, stayed }: Fit): number => CHANGE_WEIGHT * changed + stayed;

/** The middle of the first run of phases that fit best; a run may pass the end of the period. */
const bestPhase = (readings: readonly Answered[], period_s: number): Fit => {
  const fits = Array.from({ length: PHASES }, (_, k) =>
    fitOf(readings, { period_s, phase_s: (k / PHASES) * period_s }),
  );
  const costs = fits.map(costOf);
  const least = Math.min(...costs);
  const best = (k: number): boolean => costs[(k + PHASES) % PHASES] === least;
  const start = Math.max(
    0,
    costs.findIndex((_, k) => best(k) && !best(k - 1)),
  );
  let length = 1;
  while (length < PHASES && best(start + length)) length += 1;
  return fitOf(readings, { period_s, phase_s: (((start + (length - 1) / 2) / PHASES) % 1) * period_s });
};

/** Readings at the instants at which they were measured, each measurement once. */
export type Dating = <R extends { readonly t: number }>(readings: readonly R[]) => readonly R[];

const datedBy =
  (renewal: Renewal): Dating =>
  (readings) =>
    readings
      .filter((r, i) => i === 0 || cellOf(r.t, renewal) !== cellOf(readings[i - 1]?.t ?? Number.NaN, renewal))
      .map((r) => ({ ...r, t: renewal.phase_s + cellOf(r.t, renewal) * renewal.period_s }));

/** Phases tried where the repeats do not tell them. */
const TRIED_PHASES = 12;

const median = (values: readonly number[]): number => values.toSorted((a, b) => a - b)[values.length >> 1] ?? 0;

/**
 * When a gauge measured what it answered. A poll that comes before the next measurement is answered with the old value,
 * so that its repeats tell; without enough of those, all phases of the usual periods about as long as the polls that no
 * change within a period contradicts. Empty where no regular gauge answers like that.
 */
export const datingsOf = (readings: readonly Answered[]): readonly Dating[] => {
  const possible = (fit: Fit): boolean => fit.changed <= MOST_CHANGES * readings.length;
  const best = PERIODS_S.map((period_s) => bestPhase(readings, period_s)).reduce((a, b) =>
    costOf(b) < costOf(a) ? b : a,
  );
  if (best.repeated >= LEAST_REPEATS && possible(best)) return [datedBy(best.renewal)];
  const poll_s = median(readings.slice(1).map((r, i) => r.t_s - (readings[i]?.t_s ?? r.t_s)));
  return PERIODS_S.filter((period_s) => period_s > 0.4 * poll_s && period_s < 1.1 * poll_s).flatMap((period_s) =>
    Array.from({ length: TRIED_PHASES }, (_, k) =>
      fitOf(readings, { period_s, phase_s: (k / TRIED_PHASES) * period_s }),
    )
      .filter(possible)
      .map(({ renewal }) => datedBy(renewal)),
  );
};
