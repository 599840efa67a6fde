import type { NextAdjustment } from "../vocabulary/adjustment.ts";
import { kPa } from "../vocabulary/quantities.ts";
import { type AdjustmentOutlook, aimShare } from "./adjustment-outlook.ts";
import type { AdjustmentAims } from "./aims.ts";
import { compromiseOver, type ErrorFound, type Shift } from "./best-compromise.ts";
import { createAdjuster, readAdjusting } from "./create-adjuster.ts";
import { stoppedScrew } from "./impossible.ts";
import { otherScrew } from "./interplay.ts";

export interface GuidePlace {
  /** Where each screw is turned, % of span. */
  readonly at_percent: { readonly lower: number; readonly upper: number };
  readonly span_kPa: number;
}

const at = (shift: Shift, percent: number): number =>
  shift.at_0_kPa + (percent / 100) * (shift.at_100_kPa - shift.at_0_kPa);

const moved = (errors: readonly ErrorFound[], shift: Shift): readonly ErrorFound[] =>
  errors.map((e) => ({ ...e, error_kPa: e.error_kPa + at(shift, e.at_percent) }));

/** The line through two changes at the ends, read off at 0 and 100 %. */
const lineThrough = (lower: number, upper: number, { at_percent }: GuidePlace): Shift => {
  const slope = (upper - lower) / (at_percent.upper - at_percent.lower);
  return {
    at_0_kPa: lower - slope * at_percent.lower,
    at_100_kPa: lower + slope * (100 - at_percent.lower),
  };
};

/**
 * The guide for an outlook that goes on when a screw meets its stop: the targets are then the best that the other screw
 * can still do over the whole range. Where that is outside the tolerance it says so, with the figure.
 */
export const createGuide = (outlook: AdjustmentOutlook, place: GuidePlace): NextAdjustment => {
  const { aims, best, errors } = outlook;
  const guide = createAdjuster(aims);
  const foundAt = {
    lower: aims.wanted_kPa.lower - at(best.shift, place.at_percent.lower),
    upper: aims.wanted_kPa.upper - at(best.shift, place.at_percent.upper),
  };
  const percent = (value_kPa: number): string => `${((100 * value_kPa) / place.span_kPa).toFixed(2)} % of span`;

  return (seen) => {
    const stopped = stoppedScrew(seen, aims);
    if (stopped === null) return guide(seen);
    const read = readAdjusting(aims, seen);
    const { lower, upper } = read.now;
    const only = otherScrew(stopped);
    // An end that is out of date is read first.
    if (lower === null || upper === null) return createAdjuster({ ...aims, stopped })(seen);
    const since = lineThrough(lower - foundAt.lower, upper - foundAt.upper, place);
    const most = Math.max(...errors.read.map((e) => Math.abs(e.error_kPa) + e.limit_kPa)) * 4;
    const none = [0, 0] as const;
    const all = [-most, most] as const;
    const left = compromiseOver(moved(errors.read, since), moved(errors.between, since), {
      zero_kPa: stopped === "zero" ? none : all,
      span_kPa: stopped === "span" ? none : all,
      interplay: read.interplay,
    });
    const wanted_kPa = {
      lower: kPa(lower + at(left.shift, place.at_percent.lower)),
      upper: kPa(upper + at(left.shift, place.at_percent.upper)),
    };
    const then: AdjustmentAims = { ...aims, wanted_kPa, share: aimShare(left), stopped };
    const move = createAdjuster(then)(seen);
    const limit_kPa = left.left_share === 0 ? aims.tolerance_kPa : left.left_kPa / left.left_share;
    const words = `${stopped} is at its stop or does nothing; the best that ${only} alone leaves is ${percent(left.left_kPa)}, tolerance ${percent(limit_kPa)}`;
    if (move.kind === "done" || move.kind === "impossible") return { ...move, why: `${words}; ${move.why}` };
    if (left.left_share > 1) {
      const rounds = seen.filter((s) => s.kind === "turn" && s.screw === stopped).length;
      return { kind: "impossible", why: `${words}: take the unit for repair`, rounds, learned: read.interplay };
    }
    // Said with the first turn of the other screw after it.
    const last = seen.findLast((s) => s.kind === "turn");
    return last?.kind === "turn" && last.screw === stopped ? { ...move, noticed: words } : move;
  };
};
