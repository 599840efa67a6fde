import type { CurrentRange } from "../../vocabulary/signal-range.ts";
import type { Figure } from "../analysis.ts";
import { deadBandFigure } from "../dead-band.ts";
import { mean, type Trace } from "./trace.ts";

/** Dead band at one place, % of the output span that the input asks for (which is % of the input span of a linear unit). */
export interface DeadBandAt {
  readonly at_percent: number;
  readonly dead_band_percent: number;
}

interface Tread {
  readonly input: number;
  readonly output: number;
}

/** Mean of the second half of each tread, so that the lag of the step before it is over. */
const treadsOf = (trace: Trace, toPercent: (kPa: number) => number): readonly Tread[] => {
  const treads: { input: number; values: number[] }[] = [];
  for (const s of trace.samples) {
    const last = treads.at(-1);
    if (last !== undefined && Math.abs(last.input - s.input_percent) < 1e-6) last.values.push(toPercent(s.kPa));
    else treads.push({ input: s.input_percent, values: [toPercent(s.kPa)] });
  }
  return treads
    .filter((t) => t.values.length >= 2)
    .map((t) => ({ input: t.input, output: mean(t.values.slice(Math.floor(t.values.length / 2))) }));
};

/**
 * The stairs turn back after a rise: the output stands while the input goes back through the dead band, then follows.
 * Both parts are straight, and the corner between them that leaves least is where it began to follow. null where the
 * output never followed.
 */
export const deadBandAt = (trace: Trace, toPercent: (kPa: number) => number): DeadBandAt | null => {
  const treads = treadsOf(trace, toPercent);
  const first = treads[0];
  const last = treads.at(-1);
  if (first === undefined || last === undefined || treads.length < 5) return null;
  const back = treads.map((t) => ({ x: Math.abs(t.input - first.input), y: t.output }));
  const far = back.at(-1)?.x ?? 0;
  let best = { corner: 0, cost: Number.POSITIVE_INFINITY, slope: 0 };
  for (let k = 0; k <= 200; k += 1) {
    const corner = (far * k) / 200;
    const u = back.map((p) => Math.max(0, p.x - corner));
    // y = a + b u
    const [mu, my] = [mean(u), mean(back.map((p) => p.y))];
    const suu = u.reduce((sum, v) => sum + (v - mu) ** 2, 0);
    const suy = u.reduce((sum, v, i) => sum + (v - mu) * ((back[i]?.y ?? 0) - my), 0);
    const slope = suu === 0 ? 0 : suy / suu;
    const cost = back.reduce((sum, p, i) => sum + (p.y - my - slope * ((u[i] ?? 0) - mu)) ** 2, 0);
    if (cost < best.cost) best = { corner, cost, slope };
  }
  return Math.abs(best.slope) < 0.2 ? null : { at_percent: first.input, dead_band_percent: best.corner };
};

/** The largest of the places as a figure for reports, percent of input span. */
export const deadBandOf = (places: readonly DeadBandAt[], input: CurrentRange): Figure | null => {
  const span = input.upper_mA - input.lower_mA;
  return deadBandFigure(
    places.map(({ at_percent, dead_band_percent }) => ({
      nominal_percent: at_percent,
      first_movement_mA: input.lower_mA + (at_percent / 100) * span,
      movement_after_reversal_mA: input.lower_mA + ((at_percent - dead_band_percent) / 100) * span,
    })),
    input,
  );
};
