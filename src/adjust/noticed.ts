import type { AdjustmentSeen } from "../vocabulary/adjustment.ts";
import { type AdjustmentAims, sayChange } from "./aims.ts";
import type { Acted } from "./explain-turns.ts";
import { otherScrew } from "./interplay.ts";
import type { EffectsSeen } from "./screw-effects.ts";

/**
 * What the person has to hear about the last thing the hand did, or null. Spoken once: only when the last event seen is
 * the one that gave it away.
 */
export const sayNoticed = (
  aims: AdjustmentAims,
  seen: readonly AdjustmentSeen[],
  read: EffectsSeen & { readonly acted: readonly Acted[] },
): string | null => {
  const move = read.unasked.at(-1);
  if (move !== undefined && move.index === seen.length - 1) {
    return `the ${move.at} end moved by ${sayChange(aims, move.by_kPa)} although no turn was asked for there: a screw was turned before the reading stood still, or the unit was touched. Nothing is lost; both ends are read again`;
  }
  const last = seen.at(-1);
  const turned = seen.findLast((s) => s.kind === "turn");
  // The effect of a turn shows with the first reading at the other end.
  if (last?.kind !== "reading" || turned === undefined || seen.at(-2) !== turned || last.at === turned.at) return null;
  const acted = read.acted.at(-1);
  if (acted === "other") {
    return `the last turn acted like ${otherScrew(turned.screw).toUpperCase()}, not ${turned.screw.toUpperCase()}: it looks as if the other screw was turned. Nothing is lost; the next target counts with it`;
  }
  if (acted === "both") {
    return "the last turn fits neither screw alone: it looks as if both were turned. Nothing is lost; both ends are known as they are now. Turn one screw at a time";
  }
  return null;
};
