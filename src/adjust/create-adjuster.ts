import type { AdjustmentMove, AdjustmentSeen, NextAdjustment, RangeEnd } from "../vocabulary/adjustment.ts";
import { kPa } from "../vocabulary/quantities.ts";
import type { Screw } from "../vocabulary/reading.ts";
import { type AdjustmentAims, aimOf, MOST_ROUNDS, sayChange, sayPressure } from "./aims.ts";
import { explainTurns, type TurnsExplained } from "./explain-turns.ts";
import { whyImpossible } from "./impossible.ts";
import { HOME, type InterplayOfScrews, isKnown, otherEnd, otherScrew, UNKNOWN_INTERPLAY } from "./interplay.ts";
import { sayNoticed } from "./noticed.ts";
import { type EffectsSeen, effectsSeen } from "./screw-effects.ts";
import { bothRight, type EndErrors, independence, oneScrewRight } from "./screw-moves.ts";

const SCREW_AT: Readonly<Record<RangeEnd, Screw>> = { lower: "zero", upper: "span" };

/** A finishing move counts when it leaves both ends within this share of the aim: the hand misses a little as well. */
const FINISH_SHARE = 0.7;
/** Below this the two screws do so nearly the same that no hand can use the difference; common practice, no source. */
const LEAST_INDEPENDENCE = 0.05;
/** Changes up to which a hand may have gone astray, in tolerances; common practice, no source. */
const BREADTH = 40;

const roundsOf = (seen: readonly AdjustmentSeen[]): number => {
  const turns = (screw: Screw): number => seen.filter((s) => s.kind === "turn" && s.screw === screw).length;
  return Math.max(turns("zero"), turns("span"));
};

/** All that follows from what was seen, before the next move is chosen. */
export interface Adjusting extends EffectsSeen, TurnsExplained {}

/**
 * Reads what was seen: each end as it is now, which screw each turn really moved, and the interplay learned. Turns that
 * touched what cannot be seen teach nothing.
 */
export const readAdjusting = (aims: AdjustmentAims, seen: readonly AdjustmentSeen[]): Adjusting => {
  const aim = aimOf(aims);
  const visible = (aims.floor_kPa ?? Number.NEGATIVE_INFINITY) + aim;
  const found = effectsSeen(seen, 2 * aim);
  // A reading that claims to be exact still has the unit's own restlessness in it.
  const effects = found.effects
    .map((e) => ({ ...e, u: Math.hypot(e.u, aim / 40) }))
    .filter(({ near, far, u, lowest }) => {
      const moved = Math.max(Math.abs(near), Math.abs(far));
      return lowest >= visible && moved > Math.max(3 * u, aim / 4);
    });
  const known: InterplayOfScrews = { ...UNKNOWN_INTERPLAY, ...aims.interplay };
  return { ...found, ...explainTurns(effects, known, BREADTH * aims.tolerance_kPa) };
};

interface Choice {
  readonly screw: Screw;
  readonly change: number;
  readonly finishes: boolean;
}

/**
 * Turns where the unit stands when that helps, else goes over. A single turn that brings both ends within the aim is
 * taken as soon as there is one. A unit of a model not known begins with span: its turn is then seen from the low end,
 * where zero is set next, knowing the pull of the span screw, which is the wider unknown of the two.
 */
const choose = (
  error: EndErrors,
  interplay: InterplayOfScrews,
  aim: number,
  here: RangeEnd,
  touched: boolean,
): Choice => {
  for (const at of [here, otherEnd(here)]) {
    const screw = SCREW_AT[at];
    const one = oneScrewRight(screw, error, interplay);
    if (one.left_at_worst < FINISH_SHARE * aim) return { screw, change: one.change, finishes: true };
  }
  const change = bothRight(error, interplay);
  const begin = touched || isKnown(interplay.span) ? SCREW_AT[here] : "span";
  const screw = Math.abs(change[begin]) > aim / 4 ? begin : SCREW_AT[otherEnd(HOME[begin])];
  return { screw, change: change[screw], finishes: false };
};

const withOneScrew = (screw: Screw, error: EndErrors, interplay: InterplayOfScrews): Choice => ({
  screw,
  change: oneScrewRight(screw, error, interplay).change,
  finishes: true,
});

/**
 * Guides zero and span from what was seen: reads both ends, turns one screw at its own end to a target that foresees
 * what the other screw will do there, and stops when both ends are within the aim. What each screw does to the other
 * end is learned from the turns themselves, on top of what is known of the model. A turn of the wrong screw, of both,
 * or one that nobody asked for is recognised, said, and set right from the readings. Pure: the same history, the same
 * move. The method of setting zero low and span high in turn, which this shortens: Kuphaldt, Lessons in Industrial
 * Instrumentation, zero and span adjustments.
 */
export const createAdjuster = (aims: AdjustmentAims): NextAdjustment => {
  const aim = aimOf(aims);
  const within = kPa(aim / 4);
  const floor = aims.floor_kPa ?? Number.NEGATIVE_INFINITY;
  const mostRounds = aims.most_rounds ?? MOST_ROUNDS;

  const turn = ({ screw, change, finishes }: Choice, now_kPa: number): Extract<AdjustmentMove, { kind: "turn" }> => {
    const at = HOME[screw];
    const wanted = aims.wanted_kPa[at];
    // Foresight must not ask for an output that cannot be seen.
    const target = Math.max(now_kPa + change, Math.min(wanted, floor + 2 * aim));
    const other = screw === "zero" ? "span" : "zero";
    const foresees =
      Math.abs(target - wanted) <= within
        ? ""
        : finishes
          ? `, so that both ends share what is left (${sayPressure(aims, wanted)} would be exact here)`
          : `; ${other} will bring it back to ${sayPressure(aims, wanted)}`;
    return {
      kind: "turn",
      screw,
      at,
      target_kPa: kPa(target),
      within_kPa: within,
      way: target >= now_kPa ? "raise" : "lower",
      why: `${screw} at the ${at} end: ${sayChange(aims, target - now_kPa)} to ${sayPressure(aims, target)}${foresees}`,
    };
  };

  return (seen) => {
    const rounds = roundsOf(seen);
    const read = readAdjusting(aims, seen);
    const noticed = sayNoticed(aims, seen, read);
    const note = noticed === null ? {} : { noticed };
    const { upper, lower } = read.now;
    // The high end first: the low end is then at hand, where zero is looked at before anything else.
    if (upper === null)
      return { kind: "measure", at: "upper", why: "the upper end is not known as it is now", ...note };
    if (lower === null)
      return { kind: "measure", at: "lower", why: "the lower end is not known as it is now", ...note };

    const { interplay } = read;
    const learned = rounds > 0 && (isKnown(interplay.zero) || isKnown(interplay.span)) ? { learned: interplay } : {};
    const error = { lower: lower - aims.wanted_kPa.lower, upper: upper - aims.wanted_kPa.upper };
    const left = `${sayChange(aims, error.lower)} below and ${sayChange(aims, error.upper)} above`;
    if (Math.max(Math.abs(error.lower), Math.abs(error.upper)) <= aim)
      return { kind: "done", why: `errors ${left} are within ${sayPressure(aims, aim)}`, rounds, ...learned };
    const impossible = whyImpossible(seen, aims, left, mostRounds);
    if (impossible !== null) return { kind: "impossible", why: impossible, rounds, ...learned };

    const here = seen.at(-1)?.at ?? "lower";
    // An output at the floor hides how far below it the unit wants to be: zero brings it into sight first.
    const hidden = lower <= floor + aim && aims.wanted_kPa.lower > floor + aim;
    const choice: Choice = hidden
      ? { screw: "zero", change: -error.lower, finishes: false }
      : aims.stopped === undefined
        ? choose(error, interplay, aim, here, rounds > 0)
        : withOneScrew(otherScrew(aims.stopped), error, interplay);
    const same = Math.abs(independence(interplay)) < LEAST_INDEPENDENCE;
    if (!choice.finishes && same && isKnown(interplay.zero) && isKnown(interplay.span)) {
      const why = `both screws do the same at both ends (zero carries ${interplay.zero.ratio.toFixed(2)} of its effect up, span carries ${interplay.span.ratio.toFixed(2)} down), so no turning brings both right; errors ${left}. Look for the right screws, or take the unit for repair`;
      return { kind: "impossible", why, rounds, ...learned };
    }
    return { ...turn(choice, read.now[HOME[choice.screw]] ?? 0), ...note };
  };
};
