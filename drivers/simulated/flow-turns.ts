import type { Random } from "./physics/random.ts";
import type { SecantAim, SecantMove } from "./screw-secant.ts";

/** Zero by lift-off: what the gauge shows while nothing flows, and how far above that flow begins to show, kPa. */
export interface FlowAim extends Pick<SecantAim, "span_kPa" | "shake_percent" | "tries"> {
  readonly floor_kPa: number;
  readonly sign_kPa: number;
}

const PROBE_TURNS = 0.1;
const GREATEST_STEP_TURNS = 0.8;
/** Raised by this much in all without any flow: the sense is the other one; as much again, and it is no use. */
const WITHOUT_FLOW_TURNS = 3;
/** A movement below this share of the span is noise. */
const NOTICEABLE_PERCENT = 0.03;

/**
 * Raises zero by turns that double until the first sign of flow, then brings it back to none. What the screw does is
 * learned while it flows, because without flow the gauge tells nothing. Told each pressure at rest.
 */
export const createFlowTurns = (aim: FlowAim, random: Random): ((at_kPa: number) => SecantMove) => {
  const noticeable = (NOTICEABLE_PERCENT / 100) * aim.span_kPa;
  const shake = (aim.shake_percent / 100) * aim.span_kPa;
  let slope: number | null = null; // kPa a turn
  let sense = 1;
  let probe = PROBE_TURNS;
  let unseen = 0;
  let last: { readonly flow: number; readonly turns: number } | null = null;
  let count = 0;

  const turnBy = (flow: number, turns: number): SecantMove => {
    last = { flow, turns };
    count += 1;
    return { kind: "turn", turns };
  };

  return (at) => {
    const flow = at - aim.floor_kPa;
    const before = last;
    if (before !== null && before.flow > aim.sign_kPa && Math.abs(flow - before.flow) > noticeable)
      slope = (flow - before.flow) / before.turns;
    if (flow <= aim.sign_kPa && before !== null && before.flow > aim.sign_kPa) {
      // How far below none the last turn went cannot be seen; a hand that meant to stop there has.
      if (slope === null || before.flow + slope * before.turns > -aim.sign_kPa) return { kind: "let-go" };
      probe = Math.min(PROBE_TURNS, Math.abs(aim.sign_kPa / slope));
    }
    if (count >= aim.tries && slope === null && flow <= aim.sign_kPa) return { kind: "no-effect" };
    if (count >= aim.tries)
      return { kind: "gave-up", reason: `After ${count} turns the flow does not stop where it should.` };
    if (flow <= aim.sign_kPa) {
      const way = slope === null ? sense : Math.sign(slope);
      if (unseen > WITHOUT_FLOW_TURNS) {
        if (sense < 0) return { kind: "no-effect" };
        [sense, unseen, probe] = [-1, -WITHOUT_FLOW_TURNS, PROBE_TURNS];
        return turnBy(flow, -GREATEST_STEP_TURNS);
      }
      const turns = way * Math.min(GREATEST_STEP_TURNS, probe);
      probe *= 2;
      unseen += Math.abs(turns);
      return turnBy(flow, turns * (1 + random.normal(0, 0.1)));
    }
    if (slope === null) return turnBy(flow, -sense * PROBE_TURNS * (1 + random.normal(0, 0.1)));
    const wanted = (aim.sign_kPa / 2 - flow) / slope;
    const miss = random.normal(0, shake) / Math.abs(slope);
    return turnBy(flow, Math.max(-GREATEST_STEP_TURNS, Math.min(GREATEST_STEP_TURNS, wanted)) + miss);
  };
};
