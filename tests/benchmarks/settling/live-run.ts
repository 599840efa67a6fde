import {
  isFinal,
  type PointStart,
  type SettlingRule,
  type SettlingVerdict,
} from "../../../src/run/settling/settling-rule.ts";
import { Gauge } from "./generate-traces.ts";
import { PneumaticPlant, step_s } from "./pneumatic-plant.ts";
import { SeededRandom } from "./seeded-random.ts";
import { drawKind, drawUnit, type UnitKind } from "./unit-family.ts";

/** A held stroke of the exercise: where to, and the longest hold, s. */
export interface HeldStroke {
  readonly to: number;
  readonly longest: number;
}

export interface LivePoint {
  readonly kind: UnitKind;
  readonly setpoint: number;
  readonly verdict: SettlingVerdict;
  readonly time: number;
  /** Where the unit was heading when the reading was taken, % of span, without ripple and hunting. */
  readonly target: number;
  readonly resolution: number;
}

/**
 * Runs one made-up unit with the rule in the loop, as the bench does: the next command is given as soon as the rule has
 * decided, so that creep and drift carry over from point to point.
 */
export function runLive(
  order: { readonly seed: number; readonly index: number },
  exercise: readonly HeldStroke[],
  make: (resolution: number) => SettlingRule,
): LivePoint[] {
  const random = new SeededRandom(order.seed, order.index);
  const kind = drawKind(random);
  const unit = drawUnit(kind, random);
  const plant = new PneumaticPlant(unit, random);
  const gauge = new Gauge(unit, random);
  const rule = make(unit.resolution);
  const points: LivePoint[] = [];
  let clock = 0;
  let nextPoll = 0;
  let from = 0;
  const hold = (to: number, role: PointStart["role"], longest: number): { verdict: SettlingVerdict; time: number } => {
    plant.command(to);
    rule.begin({ at_s: clock, from, to, role });
    from = to;
    const start = clock;
    let verdict: SettlingVerdict = { kind: "moving", expected_s: null, confidence: 0 };
    while (clock - start < longest) {
      plant.advance();
      clock += step_s;
      gauge.observe(clock, plant.gauge);
      if (clock < nextPoll) continue;
      nextPoll += 1 / unit.pollHz;
      const value = gauge.poll();
      verdict = rule.take({ time_s: clock, value: Number.isNaN(value) ? null : value });
      if (isFinal(verdict)) break;
    }
    return { verdict, time: clock - start };
  };
  for (const stroke of exercise) hold(stroke.to, "exercise", stroke.longest);
  for (const setpoint of unit.setpoints) {
    const { verdict, time } = hold(setpoint, "point", 182);
    points.push({ kind, setpoint, verdict, time, target: plant.target, resolution: unit.resolution });
  }
  return points;
}
