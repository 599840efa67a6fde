import type { AdjustmentSeen, RangeEnd } from "../vocabulary/adjustment.ts";
import type { Screw } from "../vocabulary/reading.ts";
import { HOME, otherEnd } from "./interplay.ts";

/** A turn whose effect is known at both ends, kPa. */
export interface ScrewEffect {
  readonly asked: Screw;
  /** Change where the screw was turned, and at the other end. */
  readonly near: number;
  readonly far: number;
  readonly u: number;
  /** Lowest output that took part. */
  readonly lowest: number;
}

/** An output that changed although nobody was asked to turn anything. */
export interface UnaskedMove {
  readonly at: RangeEnd;
  readonly by_kPa: number;
  /** Index in what was seen. */
  readonly index: number;
}

export interface EffectsSeen {
  readonly effects: readonly ScrewEffect[];
  readonly unasked: readonly UnaskedMove[];
  /** What is known of each end as the unit stands now; null when it was never read or is out of date. */
  readonly now: Readonly<Record<RangeEnd, number | null>>;
}

interface Known {
  readonly value: number;
  readonly u: number;
}

/** Turns of one screw at one end, whose effect at the other end was not read yet. */
interface Open {
  readonly asked: Screw;
  readonly moved: number;
  readonly lowest: number;
  readonly u: number;
  readonly before: Known;
}

/**
 * Follows both ends through all that was seen. After a turn the other end is out of date until it is read again; after
 * a change that nobody was asked for, too. Changes below `notice_kPa` count as the unit's own.
 */
export const effectsSeen = (seen: readonly AdjustmentSeen[], notice_kPa: number): EffectsSeen => {
  const effects: ScrewEffect[] = [];
  const unasked: UnaskedMove[] = [];
  const fresh: Record<RangeEnd, Known | null> = { lower: null, upper: null };
  const pending: { open: Open | null } = { open: null };

  /** A reading at an end that is thought to be known already. */
  const compare = (at: RangeEnd, value: number, u: number, index: number): void => {
    const known = fresh[at];
    if (known === null) return;
    const by = value - known.value;
    if (Math.abs(by) <= Math.max(notice_kPa, 6 * Math.hypot(u, known.u))) return;
    unasked.push({ at, by_kPa: by, index });
    fresh[otherEnd(at)] = null;
    pending.open = null;
  };

  for (const [index, event] of seen.entries()) {
    const far = otherEnd(event.at);
    const u = event.u_kPa;
    if (event.kind === "turn") {
      compare(event.at, event.before_kPa, u, index);
      const moved: number = event.after_kPa - event.before_kPa;
      const lowest = Math.min(event.before_kPa, event.after_kPa);
      const before = fresh[far];
      const going = pending.open;
      if (before !== null) {
        pending.open = { asked: event.screw, moved, lowest, u: Math.SQRT2 * u, before };
      } else if (going !== null && going.asked === event.screw && HOME[event.screw] === event.at) {
        pending.open = { ...going, moved: going.moved + moved, lowest: Math.min(going.lowest, lowest) };
      } else {
        pending.open = null;
      }
      fresh[event.at] = { value: event.after_kPa, u };
      fresh[far] = null;
      continue;
    }
    const value: number = event.output_kPa;
    const { open } = pending;
    if (open !== null && event.at === otherEnd(HOME[open.asked])) {
      const { asked, moved, lowest, before, u: uNear } = open;
      effects.push({
        asked,
        near: moved,
        far: value - before.value,
        u: Math.hypot(u, before.u, uNear),
        lowest: Math.min(lowest, before.value, value),
      });
      pending.open = null;
    } else {
      compare(event.at, value, u, index);
    }
    fresh[event.at] = { value, u };
  }
  return { effects, unasked, now: { lower: fresh.lower?.value ?? null, upper: fresh.upper?.value ?? null } };
};
