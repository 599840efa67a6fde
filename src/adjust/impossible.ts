import type { AdjustmentSeen } from "../vocabulary/adjustment.ts";
import type { Screw } from "../vocabulary/reading.ts";
import { type AdjustmentAims, aimOf, sayPressure } from "./aims.ts";

type Turn = Extract<AdjustmentSeen, { kind: "turn" }>;

const turnsOf = (seen: readonly AdjustmentSeen[], screw: Screw): readonly Turn[] =>
  seen.filter((s): s is Turn => s.kind === "turn" && s.screw === screw);

/** The hand tried to move the output, and it did not move by a tenth of what was asked. */
const withoutEffect = (turn: Turn, aim: number): boolean => {
  const asked = Math.abs(turn.target_kPa - turn.before_kPa);
  return asked > aim && Math.abs(turn.after_kPa - turn.before_kPa) < Math.max(asked / 10, 2 * turn.u_kPa);
};

/** The screw moved the output part of the way and no further. */
const fellShort = (turn: Turn, aim: number): boolean => Math.abs(turn.target_kPa - turn.after_kPa) > 2 * aim;

/** A screw that no longer does what is asked of it: two turns in a row moved nothing, or ended short of their target. */
export const stoppedScrew = (seen: readonly AdjustmentSeen[], aims: AdjustmentAims): Screw | null => {
  const aim = aimOf(aims);
  const stopped = (screw: Screw): boolean => {
    const turns = turnsOf(seen, screw);
    return lastTwo(turns, (t) => withoutEffect(t, aim)) || lastTwo(turns, (t) => fellShort(t, aim));
  };
  return (["zero", "span"] as const).find(stopped) ?? null;
};

const lastTwo = (turns: readonly Turn[], is: (turn: Turn) => boolean): boolean =>
  turns.length >= 2 && turns.slice(-2).every(is);

/**
 * Why the screws cannot bring the unit within its aim, in words, or null while there is hope. Two turns in a row count,
 * so that one slip of the hand does not condemn a unit. `left`: the errors as they are, in words.
 */
export const whyImpossible = (
  seen: readonly AdjustmentSeen[],
  aims: AdjustmentAims,
  left: string,
  mostRounds: number,
): string | null => {
  const aim = aimOf(aims);
  for (const screw of ["zero", "span"] as const) {
    if (screw === aims.stopped) continue;
    const turns = turnsOf(seen, screw);
    if (lastTwo(turns, (t) => withoutEffect(t, aim)))
      return `turning ${screw} twice moved nothing: it is locked, at its stop, or another screw. Loosen its lock or turn it back from its stop; else the unit needs repair`;
    if (lastTwo(turns, (t) => fellShort(t, aim))) {
      const short = turns.at(-1);
      const by = short === undefined ? 0 : Math.abs(short.target_kPa - short.after_kPa);
      return `${screw} stops ${sayPressure(aims, by)} short of its target: it is at its stop, or the output is at its limit; errors ${left}`;
    }
    if (turns.length >= mostRounds) {
      return `after ${turns.length} rounds the errors are still ${left}; it does not converge`;
    }
  }
  return null;
};
