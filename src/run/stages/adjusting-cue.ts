import { lineOf } from "./cue-line.ts";

/** What the hand at the screw should know, from the live readings. Pressures in kPa; pure. */
export type TurnCue =
  /** Turn so that the output goes this way; `missing` is what is still to go, signed. */
  | { readonly kind: "turn"; readonly way: "up" | "down"; readonly missing_kPa: number }
  /** Let go: what was turned already will bring it there. */
  | { readonly kind: "wait"; readonly missing_kPa: number }
  /** The output runs away from the target. */
  | { readonly kind: "other-way"; readonly missing_kPa: number }
  /** It stands still on the target. */
  | { readonly kind: "hand-off"; readonly missing_kPa: number }
  /** The hand has been asked for a while and nothing moves. */
  | { readonly kind: "nothing-moves"; readonly missing_kPa: number; readonly for_s: number }
  /** Zero by lift-off: nothing flows yet; raise zero. */
  | { readonly kind: "no-flow"; readonly flow_kPa: number }
  /** Zero by lift-off: it flows; bring it back to none. */
  | { readonly kind: "flow"; readonly flow_kPa: number }
  /** The output has fallen away altogether: unplugged, or no air. */
  | { readonly kind: "gone"; readonly at_kPa: number };

export interface CueSample {
  readonly at_s: number;
  readonly kPa: number;
}

export interface CueSettings {
  readonly target_kPa: number;
  readonly within_kPa: number;
  readonly span_kPa: number;
  /** Time constant of the output as it was seen so far; what moves will go on by about slope times this. */
  readonly lag_s: number;
  /** Output of a unit that is vented: zero gauge pressure. null where the mode does not tell. */
  readonly vented_kPa: number | null;
  readonly asked_at_s: number;
}

/** Readings looked at for the slope, s. */
const LOOK_S = 1.5;
/** Slower than this the output stands still, % of span a second. */
const STILL_PERCENT_PER_S = 0.05;
/** Without any movement for this long a person is told so. */
const NOTHING_S = 20;
/** A change below this share of the span is no movement. */
const MOVED_SHARE = 0.0005;

/**
 * The cue of this moment; null before there are readings enough. It lags no more than the readings: where the output
 * is still moving, it looks ahead by the lag, so that nobody chases what is on its way already.
 */
export const turnCue = (samples: readonly CueSample[], settings: CueSettings): TurnCue | null => {
  const { target_kPa, within_kPa, span_kPa, lag_s, vented_kPa, asked_at_s } = settings;
  const end_s = samples.at(-1)?.at_s ?? 0;
  const recent = samples.filter((s) => s.at_s > end_s - LOOK_S);
  const at = samples.at(-1);
  if (at === undefined || recent.length < 4) return null;
  const { value, slope } = lineOf(recent);
  const vented = vented_kPa !== null && target_kPa - vented_kPa > 0.08 * span_kPa;
  if (vented && Math.abs(value - vented_kPa) < 0.01 * span_kPa && Math.abs(at.kPa - vented_kPa) < 0.02 * span_kPa)
    return { kind: "gone", at_kPa: at.kPa };
  const still = Math.abs(slope) < (STILL_PERCENT_PER_S / 100) * span_kPa;
  const missing_kPa = target_kPa - value;
  if (still && Math.abs(missing_kPa) <= within_kPa) return { kind: "hand-off", missing_kPa };
  const heading = target_kPa - (value + slope * lag_s);
  if (!still && Math.abs(heading) <= Math.max(within_kPa, 0.15 * Math.abs(missing_kPa)))
    return { kind: "wait", missing_kPa };
  if (!still && missing_kPa * slope < 0 && Math.abs(missing_kPa) > 2 * within_kPa)
    return { kind: "other-way", missing_kPa };
  // Past the target once all has arrived: stop now.
  if (!still && heading * missing_kPa < 0) return { kind: "wait", missing_kPa };
  const asked = samples.filter((s) => s.at_s >= asked_at_s);
  const [low, high] = [Math.min(...asked.map((s) => s.kPa)), Math.max(...asked.map((s) => s.kPa))];
  const for_s = end_s - asked_at_s;
  if (for_s >= NOTHING_S && high - low < MOVED_SHARE * span_kPa) return { kind: "nothing-moves", missing_kPa, for_s };
  return { kind: "turn", way: missing_kPa > 0 ? "up" : "down", missing_kPa };
};

const missing = (missing_kPa: number): string => `${missing_kPa < 0 ? "" : "+"}${missing_kPa.toFixed(3)} kPa to go`;

/** The cue in the words a person is shown. */
export const cueText = (cue: TurnCue): string => {
  switch (cue.kind) {
    case "turn":
      return `turn, output ${cue.way}: ${missing(cue.missing_kPa)}`;
    case "wait":
      return "stop and wait: it is on its way";
    case "other-way":
      return `other way: ${missing(cue.missing_kPa)}`;
    case "hand-off":
      return "hand off: it stands on the target";
    case "nothing-moves":
      return `no effect seen for ${cue.for_s.toFixed(0)} s: locked, wrong screw, or at its stop`;
    case "no-flow":
      return "raise zero: no flow yet";
    case "flow":
      return `it flows (${cue.flow_kPa.toFixed(3)} kPa): bring it back until none flows`;
    case "gone":
      return `the output is gone (${cue.at_kPa.toFixed(1)} kPa): is the unit plugged in, and is there air?`;
  }
};
