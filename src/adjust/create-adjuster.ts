import type { AdjustmentMove, AdjustmentSeen, NextAdjustment, RangeEnd } from "../vocabulary/adjustment.ts";
import { kPa } from "../vocabulary/quantities.ts";
import type { Screw } from "../vocabulary/reading.ts";
import { type AdjustmentAims, aimOf, MOST_ROUNDS } from "./aims.ts";
import { whyImpossible } from "./impossible.ts";
import { HOME, type Interplay, learnInterplay, other } from "./interplay.ts";

const SCREW_AT: Readonly<Record<RangeEnd, Screw>> = { lower: "zero", upper: "span" };

const roundsOf = (seen: readonly AdjustmentSeen[]): number => {
  const turns = (screw: Screw): number => seen.filter((s) => s.kind === "turn" && s.screw === screw).length;
  return Math.max(turns("zero"), turns("span"));
};

/** Last output known at an end, or null when it was never read or a screw was turned at the other end since. */
const freshAt = (seen: readonly AdjustmentSeen[], end: RangeEnd): number | null => {
  for (const event of seen.toReversed()) {
    if (event.at === end) return event.kind === "turn" ? event.after_kPa : event.output_kPa;
    if (event.kind === "turn") return null;
  }
  return null;
};

/** Changes each screw has to make at its own end so that both ends come right. */
interface Solution {
  readonly zero_kPa: number;
  readonly span_kPa: number;
}

/**
 * Two screws, two ends: zero + r_span * span cancels the error below, r_zero * zero + span the error above, where
 * r is the share that a screw carries to the other end. null when both screws do the same and so cannot be told apart.
 */
const solve = (lower: number, upper: number, zero: Interplay, span: Interplay): Solution | null => {
  const determinant = 1 - zero.ratio * span.ratio;
  if (Math.abs(determinant) < 0.05) return null;
  return {
    zero_kPa: (-lower + span.ratio * upper) / determinant,
    span_kPa: (-upper + zero.ratio * lower) / determinant,
  };
};

const text = (value: number): string => `${value >= 0 ? "+" : ""}${value.toFixed(3)} kPa`;

/**
 * Guides zero and span from what was seen: reads both ends, turns one screw at its own end to a target that foresees
 * what the other screw will do there, and stops when both ends are within the aim. What each screw does to the other
 * end is learned from the turns themselves; until then zero is set at the low end and span at the high end in turn
 * (Kuphaldt, Lessons in Industrial Instrumentation, zero and span adjustments). Pure: the same history, the same move.
 */
export const createAdjuster = (aims: AdjustmentAims): NextAdjustment => {
  const aim = aimOf(aims);
  const within = kPa(aim / 4);
  const floor = aims.floor_kPa ?? Number.NEGATIVE_INFINITY;
  const mostRounds = aims.most_rounds ?? MOST_ROUNDS;

  const turn = (screw: Screw, offset: number, change: number): AdjustmentMove => {
    const at = HOME[screw];
    // Foresight must not ask for an output that cannot be seen.
    const lowest = Math.min(aims.wanted_kPa[at], floor + 2 * aim);
    const target = Math.max(aims.wanted_kPa[at] + offset, lowest);
    const foresees =
      Math.abs(offset) > within ? `, ${text(offset)} off the ideal because the other screw will move it back` : "";
    return {
      kind: "turn",
      screw,
      at,
      target_kPa: kPa(target),
      within_kPa: within,
      why: `${screw} at the ${at} end: ${text(change)} to ${target.toFixed(3)} kPa${foresees}`,
    };
  };

  return (seen) => {
    const rounds = roundsOf(seen);
    const upper = freshAt(seen, "upper");
    const lower = freshAt(seen, "lower");
    // The high end first: the low end is then at hand, where zero is looked at before anything else.
    if (upper === null) return { kind: "measure", at: "upper", why: "the upper end is not known as it is now" };
    if (lower === null) return { kind: "measure", at: "lower", why: "the lower end is not known as it is now" };

    const error = { lower: lower - aims.wanted_kPa.lower, upper: upper - aims.wanted_kPa.upper };
    if (Math.max(Math.abs(error.lower), Math.abs(error.upper)) <= aim) {
      const why = `errors ${text(error.lower)} below and ${text(error.upper)} above are within ${aim.toFixed(3)} kPa`;
      return { kind: "done", why, rounds };
    }
    const zero = learnInterplay(seen, "zero", within, floor + aim);
    const span = learnInterplay(seen, "span", within, floor + aim);
    const impossible = whyImpossible(seen, aims, error, mostRounds);
    if (impossible !== null) return { kind: "impossible", why: impossible, rounds };
    const solution = solve(error.lower, error.upper, zero, span);
    if (solution === null) {
      const why = `both screws do the same at both ends (zero carries ${zero.ratio.toFixed(2)} up, span carries ${span.ratio.toFixed(2)} down); wrong screw, or the unit cannot be adjusted`;
      return { kind: "impossible", why, rounds };
    }

    const here = seen.at(-1)?.at ?? "lower";
    const change = { zero: solution.zero_kPa, span: solution.span_kPa };
    // Turn where the unit stands; go over only when nothing is left to turn here.
    const screw = Math.abs(change[SCREW_AT[here]]) > within ? SCREW_AT[here] : SCREW_AT[other(here)];
    const at = HOME[screw];
    return turn(screw, error[at] + change[screw], change[screw]);
  };
};
