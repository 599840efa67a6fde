import type { GaugeMemory } from "./gauge-memory.ts";
import { PointJudge } from "./point-judge.ts";
import { Series } from "./series.ts";
import type { Resolved } from "./settings.ts";
import type { UnitMemory } from "./unit-memory.ts";

export interface Rehearsed {
  /** When the judge would have taken its reading, s after the command; null: never. */
  readonly wouldRead_s: number | null;
  /** Standard uncertainty that reading would have been given. */
  readonly u: number;
  /**
   * Furthest that means over a second went from that reading in the half minute after it, learned slow movement taken off:
   * on in the direction of the step, and back against it.
   */
  readonly onward: number;
  readonly backward: number;
  /** How long after that reading the unit still moved by more than half the limit. */
  readonly restless_s: number;
}

/**
 * Plays a held stroke back to the judge as if it were a point, now that the unit is known, and looks at what came after the
 * reading it would have taken. A unit that fools the judge here (it sticks and slips, it hunts for a while) will do so again.
 */
export function rehearse(
  stroke: Series,
  unit: UnitMemory,
  gauge: GaugeMemory,
  settings: Resolved,
  start: { readonly at_s: number; readonly from: number; readonly to: number },
): Rehearsed {
  const series = new Series();
  const judge = new PointJudge(series, unit, gauge, settings);
  judge.begin(start.at_s, start.from, start.to);
  let i = 0;
  let reading = null;
  for (; i < stroke.length && reading === null; i++) {
    const t = stroke.at(i);
    series.push(t, stroke.valueAt(i));
    if (judge.arrived(t - start.at_s)) reading = judge.look(t, false);
  }
  if (reading === null) return { wouldRead_s: null, u: 0, onward: 0, backward: 0, restless_s: 0 };
  const value = reading.value - unit.slow.at(reading.to);
  const bound = Math.sqrt(gauge.variance);
  let onward = 0;
  let backward = 0;
  const sense = start.to >= start.from ? 1 : -1;
  let last = reading.to;
  const final = stroke.trailingMean(Math.max(5, stroke.length - stroke.since(stroke.at(stroke.length - 1) - 5)));
  const end = final - unit.slow.at(stroke.at(stroke.length - 1));
  while (i < stroke.length) {
    const t0 = stroke.at(i);
    let sum = 0;
    let n = 0;
    while (i < stroke.length && stroke.at(i) < t0 + 1) {
      sum += stroke.valueAt(i) - unit.slow.at(stroke.at(i));
      n++;
      i++;
    }
    const noise = (3 * bound) / Math.sqrt(n);
    if (t0 - reading.to > 30) continue;
    onward = Math.max(onward, sense * (sum / n - value) - noise);
    backward = Math.max(backward, -sense * (sum / n - value) - noise);
    if (Math.abs(sum / n - end) > 0.5 * settings.limit + noise) last = t0 + 1;
  }
  return { wouldRead_s: reading.to - start.at_s, u: reading.u, onward, backward, restless_s: last - reading.to };
}
