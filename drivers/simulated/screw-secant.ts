import type { TurnOutcome } from "../../src/ports/bench.ts";
import type { Screw } from "../../src/vocabulary/reading.ts";
import type { Random } from "./physics/random.ts";

/** What the technician aims at, and how steady the hand is. Pressures in kPa. */
export interface SecantAim {
  readonly screw: Screw;
  readonly target_kPa: number;
  readonly within_kPa: number;
  readonly span_kPa: number;
  /** Standard deviation of a turn that misses, in its effect on the output, % of span. */
  readonly shake_percent: number;
  readonly tries: number;
}

export type SecantMove = { readonly kind: "turn"; readonly turns: number } | TurnOutcome;

const PROBE_TURNS = 0.1;
const GREATEST_STEP_TURNS = 1;
/** A screw that was turned this far in all and moved nothing is not the right screw, or it slips. */
const WITHOUT_EFFECT_TURNS = 1.5;
/** A movement below this share of the span is noise. */
const NOTICEABLE_PERCENT = 0.03;

/** Setting a screw by probing turns that double until something moves, then by secant steps. Told each pressure at rest. */
export const createSecant = (aim: SecantAim, random: Random): ((at_kPa: number) => SecantMove) => {
  const noticeable_kPa = (NOTICEABLE_PERCENT / 100) * aim.span_kPa;
  const shake_kPa = (aim.shake_percent / 100) * aim.span_kPa;
  let before: number | null = null;
  let slope: number | null = null; // kPa per turn
  let lastTurns = 0;
  let travelled = 0;
  let effectless = 0;
  let count = 0;

  const learn = (at: number): TurnOutcome | null => {
    if (before === null) return null;
    const moved = at - before;
    if (slope === null) {
      if (Math.abs(moved) >= noticeable_kPa) slope = moved / lastTurns;
      else if (travelled > WITHOUT_EFFECT_TURNS) return { kind: "no-effect" };
      return null;
    }
    const expected = Math.abs(slope * lastTurns);
    // A small turn tells more of noise and friction than of the screw.
    if (expected < 3 * noticeable_kPa) return null;
    if (Math.abs(moved) >= noticeable_kPa) {
      slope = moved / lastTurns;
      effectless = 0;
      return null;
    }
    effectless += 1;
    if (effectless < 2) return null;
    const reason = `The ${aim.screw} screw moves the pressure no further, as a screw at its stop.`;
    return { kind: "gave-up", reason };
  };

  return (at) => {
    const outcome = learn(at);
    const missing = aim.target_kPa - at;
    if (Math.abs(missing) <= aim.within_kPa) return { kind: "let-go" };
    if (outcome !== null) return outcome;
    if (count >= aim.tries) {
      const reason = `After ${count} turns the pressure is still ${Math.abs(missing).toFixed(3)} kPa off.`;
      return { kind: "gave-up", reason };
    }
    const wanted = slope === null ? PROBE_TURNS * 2 ** count : missing / slope;
    const turns = Math.max(-GREATEST_STEP_TURNS, Math.min(GREATEST_STEP_TURNS, wanted));
    // The hand misses by a set amount of output; before it knows the screw, by a share of the turn.
    const miss = slope === null ? random.normal(0, 0.1) * turns : random.normal(0, shake_kPa) / Math.abs(slope);
    before = at;
    lastTurns = turns + miss;
    travelled += Math.abs(lastTurns);
    count += 1;
    return { kind: "turn", turns: lastTurns };
  };
};
