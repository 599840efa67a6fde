import type { CauseEntry, Sign } from "../cause.ts";
import type { Evidence } from "../evidence.ts";

/** Slower than this at 63 % of a large step is slow for a converter on a short line, s; common practice, no source. */
const SLOW_S = 4;
/** A direction that takes this much longer than the other points to one of the two ways of the air. */
const LOPSIDED = 2.2;

const speeds = ({ step_up, step_down }: Evidence) => {
  const [up, down] = [step_up?.t63_s ?? null, step_down?.t63_s ?? null];
  return up === null || down === null ? null : { up, down };
};

/** Slow both ways: by a rate, which a restriction sets, or by a lag, which a line and its volume set. */
const slowBothWays = (evidence: Evidence, byRate: boolean): Sign | null => {
  const t = speeds(evidence);
  if (t === null || t.up > LOPSIDED * t.down || t.down > LOPSIDED * t.up) return null;
  const models = [evidence.step_up?.model, evidence.step_down?.model];
  const rates = models.filter((m) => m !== null && m !== undefined && m.rate_percent_per_s !== null).length;
  const limited = rates === 2 || (rates === 1 && lagOf(evidence) < 0.5 * SLOW_S);
  if (limited !== byRate) return null;
  const slowest = Math.max(t.up, t.down);
  return {
    strength: slowest / SLOW_S,
    figures: `63 % after ${t.up.toFixed(1)} s up and ${t.down.toFixed(1)} s down, ${byRate ? "at a steady rate" : "as a lag"}`,
  };
};

const lagOf = ({ step_up, step_down }: Evidence): number =>
  Math.max(
    ...[step_up, step_down].map((s) => (s?.model === null || s === null ? 0 : s.model.tau_s + s.model.line_tau_s)),
  );

export const longLine: CauseEntry = {
  cause: "long-line",
  words:
    "slow both ways as a lag: a long or narrow line, or a large volume at its end; compare a short line (test `line`)",
  sign: (evidence) => slowBothWays(evidence, false),
  // A slow end looks like drift, and stairs that do not wait for it like play.
  explains: ["drift", "worn-linkage", "friction"],
};

export const cloggedRestrictor: CauseEntry = {
  cause: "clogged-restrictor",
  words: "slow both ways at a steady rate: a clogged restrictor, nozzle or filter lets too little air through",
  sign: (evidence) => slowBothWays(evidence, true),
  explains: [],
};

export const cloggedFeed: CauseEntry = {
  cause: "clogged-feed",
  words: "fills slowly and empties well: the way of the air in is narrowed (supply screen, filter, feed port)",
  sign: (evidence) => {
    const t = speeds(evidence);
    if (t === null || t.up < LOPSIDED * t.down) return null;
    return {
      strength: Math.max(1, t.up / SLOW_S),
      figures: `63 % after ${t.up.toFixed(1)} s up, ${t.down.toFixed(1)} s down`,
    };
  },
  explains: [],
};

export const blockedExhaust: CauseEntry = {
  cause: "blocked-exhaust",
  words: "fills well and empties slowly: the exhaust is blocked or too narrow",
  sign: (evidence) => {
    const t = speeds(evidence);
    if (t === null || t.down < LOPSIDED * t.up) return null;
    return {
      strength: Math.max(1, t.down / SLOW_S),
      figures: `63 % after ${t.up.toFixed(1)} s up, ${t.down.toFixed(1)} s down`,
    };
  },
  explains: [],
};
