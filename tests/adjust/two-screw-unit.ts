import type { AdjustmentMove, AdjustmentSeen, NextAdjustment, RangeEnd } from "../../src/vocabulary/adjustment.ts";
import { kPa } from "../../src/vocabulary/quantities.ts";

/** A linear unit with two screws, and a hand that turns them. Pressures in kPa. */
export interface TwoScrews {
  readonly lower: number;
  readonly upper: number;
  /** Effect of the zero screw above, and of the span screw below, as a share of its effect at its own end. */
  readonly zeroAbove: number;
  readonly spanBelow: number;
  /** How far a screw can move its own end; unlimited when left out. */
  readonly travel?: { readonly zero?: number; readonly span?: number };
  /** Noise of one reading, standard deviation, drawn from `draw`, and how far the hand misses, at most. */
  readonly noise?: number;
  readonly miss?: number;
  /** Lowest output that can be seen. */
  readonly floor?: number;
  /** Numbers from -1 to 1. */
  readonly draw?: () => number;
}

export interface Adjusted {
  readonly end: Extract<AdjustmentMove, { kind: "done" | "impossible" }>;
  readonly seen: readonly AdjustmentSeen[];
  /** True outputs at the end. */
  readonly lower: number;
  readonly upper: number;
}

/** Lets the adjuster guide the hand until it stops, at most `most` moves. */
export const adjustUnit = (unit: TwoScrews, next: NextAdjustment, most = 100): Adjusted => {
  const draw = unit.draw ?? (() => 0);
  const out = { lower: unit.lower, upper: unit.upper };
  const turned = { zero: 0, span: 0 };
  const seen: AdjustmentSeen[] = [];
  const read = (at: RangeEnd): number => Math.max(unit.floor ?? -1e9, out[at]) + (unit.noise ?? 0) * draw();
  for (let i = 0; i < most; i += 1) {
    const move = next(seen);
    if (move.kind === "done" || move.kind === "impossible") return { end: move, seen, ...out };
    if (move.kind === "measure") {
      seen.push({ kind: "reading", at: move.at, output_kPa: kPa(read(move.at)), u_kPa: kPa(unit.noise ?? 0) });
      continue;
    }
    const before = read(move.at);
    const wanted = move.target_kPa + (unit.miss ?? 0) * draw() - out[move.at];
    const limit = unit.travel?.[move.screw] ?? Number.POSITIVE_INFINITY;
    const change = Math.min(limit - turned[move.screw], Math.max(-limit - turned[move.screw], wanted));
    turned[move.screw] += change;
    out.lower += change * (move.screw === "zero" ? 1 : unit.spanBelow);
    out.upper += change * (move.screw === "zero" ? unit.zeroAbove : 1);
    seen.push({
      kind: "turn",
      screw: move.screw,
      at: move.at,
      target_kPa: move.target_kPa,
      before_kPa: kPa(before),
      after_kPa: kPa(read(move.at)),
      u_kPa: kPa(unit.noise ?? 0),
      outcome: change === 0 ? "no-effect" : "let-go",
    });
  }
  throw new Error("the adjuster never stopped");
};
