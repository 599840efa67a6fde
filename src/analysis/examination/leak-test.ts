import { fittedLine } from "./line-fit.ts";
import { noiseOf, type Trace } from "./trace.ts";

/** Pressure decay behind a closed valve. Rates in kPa a minute, positive where pressure is lost. */
export interface LeakFigures {
  readonly at_kPa: number;
  readonly loss_kPa_per_min: number;
  /** Standard uncertainty of the loss: noise, and how well the heat of filling was told apart. */
  readonly u_kPa_per_min: number;
  /** Part of the first minute's fall that was heat of filling dying away. */
  readonly heat_kPa: number;
  /** Q = V dP/dt, Pa m3/s; null where the volume is not known. Source: isothermal leak rate of a closed volume. */
  readonly Q_Pa_m3_per_s: number | null;
}

/** Times in which filling heat dies away in small volumes and hoses, s; common practice, no source. */
const HEAT_TIMES_S = [2, 3.5, 6, 10, 16];

/**
 * p = a - loss t + h exp(-t / tau): a leak goes on, the heat of filling dies away. The time constant is the one of a
 * small set that leaves least; the heat counts only where it explains the readings better than a line alone.
 */
export const leakTest = (trace: Trace, volume_m3: number | null = null): LeakFigures | null => {
  const samples = trace.samples.filter((s) => s.t_s > 0);
  const first = samples[0];
  if (first === undefined || samples.length < 20) return null;
  const noise = Math.max(noiseOf(samples.map((s) => s.kPa)), 1e-6);
  const plain = fittedLine(samples.map((s) => ({ y: s.kPa, x: [1, s.t_s] })));
  const heated = HEAT_TIMES_S.map((tau) =>
    fittedLine(samples.map((s) => ({ y: s.kPa, x: [1, s.t_s, Math.exp(-s.t_s / tau)] }))),
  )
    .filter((fit) => fit !== null)
    .toSorted((a, b) => a.cost - b.cost)[0];
  if (plain === null) return null;
  // Two more parameters (height and time constant) have to pay for themselves: 9.2 is the 1 % point of chi-square with 2.
  const useHeat = heated !== undefined && (plain.cost - heated.cost) / noise ** 2 > 9.2;
  const best = useHeat ? heated : plain;
  const slope = best.values[1] ?? 0;
  const scale = Math.max(noise, Math.sqrt(best.cost / Math.max(1, samples.length - 4)));
  const loss = -slope * 60;
  return {
    at_kPa: first.kPa,
    loss_kPa_per_min: loss,
    u_kPa_per_min: 60 * scale * (best.unit_u[1] ?? 0),
    heat_kPa: useHeat ? (best.values[2] ?? 0) : 0,
    Q_Pa_m3_per_s: volume_m3 === null ? null : (volume_m3 * 1000 * loss) / 60,
  };
};

/**
 * Greatest loss that does not matter: a reading taken `hold_s` after the valve closed may be wrong by no more than a
 * third of its expanded uncertainty.
 */
export const leakLimit_kPa_per_min = (U_kPa: number, hold_s: number): number => (U_kPa / 3 / hold_s) * 60;
