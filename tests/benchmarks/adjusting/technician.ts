import { createRandom, type Random } from "../../../drivers/simulated/physics/random.ts";
import type { AdjustmentSeen, NextAdjustment, RangeEnd } from "../../../src/vocabulary/adjustment.ts";
import { kPa } from "../../../src/vocabulary/quantities.ts";

/**
 * A technician with a shaky hand at a linear unit with two screws. The output span is 100 kPa, so that kPa are % of
 * span. What is stated in the project's goal: effects of the screws, hand, noise. Everything else is our assumption.
 */
export const LOWER = 20;
export const UPPER = 120;
/** 0.5 % of span; the aim is a quarter of it. */
export const TOLERANCE = 0.5;
const HAND = 0.03;
const NOISE = 0.01;
/** Greatest zero and span error of a unit that comes to the bench, % of span (assumed). */
const MOST_ERROR = 3;
/** How far a screw moves its own end before its stop, % of span (assumed: four turns of 2.5 and of 3.75 %). */
export const REACH = { zero: 10, span: 15 } as const;

export interface BenchUnit {
  /** Errors at the two ends, % of span. */
  readonly lower: number;
  readonly upper: number;
  readonly zeroAbove: number;
  readonly spanBelow: number;
}

export const unitOf = (random: Random): BenchUnit => ({
  lower: random.uniform(-MOST_ERROR, MOST_ERROR),
  upper: random.uniform(-MOST_ERROR, MOST_ERROR),
  zeroAbove: random.uniform(0.7, 1.3),
  spanBelow: random.uniform(-0.3, 0.85),
});

/** Whether the two screws can bring both ends right at all before one of them meets its stop. */
export const withinReach = ({ lower, upper, zeroAbove, spanBelow }: BenchUnit): boolean => {
  const determinant = 1 - zeroAbove * spanBelow;
  const zero = Math.abs((-lower + spanBelow * upper) / determinant);
  const span = Math.abs((-upper + zeroAbove * lower) / determinant);
  return zero <= REACH.zero && span <= REACH.span;
};

/** Simulated seconds: ramp and settling at the other end; a hand at a screw; settling after it (assumed). */
const TRAVEL_S = 20;
const HAND_S = 25;
const REST_S = 8;

export interface Work {
  readonly ended: "done" | "impossible";
  /** Visits to the screw that was visited more often. */
  readonly rounds: number;
  readonly visits: number;
  /** Settled readings that were waited for. */
  readonly waits: number;
  readonly minutes: number;
  /** Largest true error at an end, % of span. */
  readonly left: number;
  readonly seen: readonly AdjustmentSeen[];
}

/** Lets `next` guide the hand from as found on, where both ends have been read. */
export const work = (unit: BenchUnit, next: NextAdjustment, random: Random, most = 400): Work => {
  const noise = random.split("noise");
  const hand = random.split("hand");
  const out: Record<RangeEnd, number> = { lower: LOWER + unit.lower, upper: UPPER + unit.upper };
  const read = (at: RangeEnd): number => out[at] + noise.normal(0, NOISE);
  const reading = (at: RangeEnd): AdjustmentSeen => ({
    kind: "reading",
    at,
    output_kPa: kPa(read(at)),
    u_kPa: kPa(NOISE),
  });
  const seen: AdjustmentSeen[] = [reading("upper"), reading("lower")];
  const turns = { zero: 0, span: 0 };
  let here: RangeEnd = "lower";
  let [waits, time_s] = [0, 0];
  const goTo = (at: RangeEnd): void => {
    time_s += here === at ? 0 : TRAVEL_S;
    waits += here === at ? 0 : 1;
    here = at;
  };
  for (let i = 0; i < most; i += 1) {
    const move = next(seen);
    if (move.kind === "done" || move.kind === "impossible") {
      const left = Math.max(Math.abs(out.lower - LOWER), Math.abs(out.upper - UPPER));
      const visits = turns.zero + turns.span;
      const rounds = Math.max(turns.zero, turns.span);
      return { ended: move.kind, rounds, visits, waits, minutes: time_s / 60, left, seen };
    }
    goTo(move.at);
    if (move.kind === "measure") {
      seen.push(reading(move.at));
      continue;
    }
    const before = read(move.at);
    const change = move.target_kPa - before + hand.normal(0, HAND);
    out.lower += move.screw === "zero" ? change : unit.spanBelow * change;
    out.upper += move.screw === "zero" ? unit.zeroAbove * change : change;
    turns[move.screw] += 1;
    waits += 1;
    time_s += HAND_S + REST_S;
    seen.push({
      kind: "turn",
      screw: move.screw,
      at: move.at,
      target_kPa: move.target_kPa,
      before_kPa: kPa(before),
      after_kPa: kPa(read(move.at)),
      u_kPa: kPa(NOISE),
      outcome: "let-go",
    });
  }
  throw new Error("the guide never stopped");
};

/** Zero at the low end, span at the high end, each to its ideal value, until both ends are within the aim. */
export const plainAlternation =
  (aim: number, mostRounds: number): NextAdjustment =>
  (seen) => {
    const last = (end: RangeEnd): number => {
      const event = seen.findLast((s) => s.at === end);
      return event === undefined ? Number.NaN : event.kind === "turn" ? event.after_kPa : event.output_kPa;
    };
    const turns = seen.filter((s) => s.kind === "turn");
    const rounds = Math.ceil(turns.length / 2);
    const end = seen.at(-1);
    if (end?.kind === "turn")
      return end.screw === "zero"
        ? turn("span", "upper", UPPER, last("upper"))
        : { kind: "measure", at: "lower", why: "" };
    const within = Math.max(Math.abs(last("lower") - LOWER), Math.abs(last("upper") - UPPER)) <= aim;
    if (within) return { kind: "done", why: "", rounds };
    return rounds >= mostRounds ? { kind: "impossible", why: "", rounds } : turn("zero", "lower", LOWER, last("lower"));
  };

const turn = (screw: "zero" | "span", at: RangeEnd, target: number, now: number) =>
  ({
    kind: "turn",
    screw,
    at,
    target_kPa: kPa(target),
    within_kPa: kPa(0.03),
    way: target >= now ? "raise" : "lower",
    why: "",
  }) as const;

export const randomFor = (index: number): Random => createRandom(`adjusting ${index}`);

/** Nearest rank: the smallest value that at least `share` of all do not exceed. */
export const quantile = (values: readonly number[], share: number): number =>
  values.toSorted((a, b) => a - b)[Math.max(0, Math.ceil(share * values.length) - 1)] ?? Number.NaN;
