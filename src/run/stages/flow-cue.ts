import type { CueSample, TurnCue } from "./adjusting-cue.ts";
import { lineOf } from "./cue-line.ts";

/** Zero by lift-off: the output is held just above the input at which it ought to lift off. */
export interface FlowCueSettings {
  /** What the gauge shows while nothing flows. */
  readonly floor_kPa: number;
  /** From this above the floor on, the output flows. */
  readonly sign_kPa: number;
  readonly span_kPa: number;
  readonly lag_s: number;
  readonly asked_at_s: number;
}

/** Readings looked at for the slope, s. */
const LOOK_S = 1;
/** Slower than this it stands still, % of span a second. */
const STILL_PERCENT_PER_S = 0.02;
/** Without any flow for this long a person is told so. */
const NOTHING_S = 45;

/**
 * What the hand at the zero screw should know: no flow yet, flow, or none again. The newest reading alone says whether
 * the output flows, so that the cue is no later than the gauge; only "wait" looks at where it is heading.
 */
export const flowCue = (samples: readonly CueSample[], settings: FlowCueSettings): TurnCue | null => {
  const { floor_kPa, sign_kPa, span_kPa, lag_s, asked_at_s } = settings;
  const newest = samples.at(-1);
  if (newest === undefined) return null;
  const flow_kPa = newest.kPa - floor_kPa;
  const asked = samples.filter((s) => s.at_s >= asked_at_s);
  const flowed = asked.some((s) => s.kPa - floor_kPa > sign_kPa);
  if (flow_kPa <= sign_kPa) {
    if (flowed) return { kind: "hand-off", missing_kPa: -flow_kPa };
    const for_s = newest.at_s - asked_at_s;
    return for_s >= NOTHING_S ? { kind: "nothing-moves", missing_kPa: sign_kPa, for_s } : { kind: "no-flow", flow_kPa };
  }
  const recent = samples.filter((s) => s.at_s > newest.at_s - LOOK_S);
  const { slope } = recent.length < 4 ? { slope: 0 } : lineOf(recent);
  const falls = slope < (-STILL_PERCENT_PER_S / 100) * span_kPa;
  if (falls && flow_kPa + slope * lag_s <= sign_kPa / 2) return { kind: "wait", missing_kPa: sign_kPa / 2 - flow_kPa };
  return { kind: "flow", flow_kPa };
};
