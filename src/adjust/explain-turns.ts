import { type InterplayOfScrews, otherScrew, taught } from "./interplay.ts";
import type { ScrewEffect } from "./screw-effects.ts";

/** Which screw a turn really moved: the asked one, the other one, or both (or something else) so that it teaches nothing. */
export type Acted = "asked" | "other" | "both";

export interface TurnsExplained {
  /** One word a turn, in order. */
  readonly acted: readonly Acted[];
  readonly interplay: InterplayOfScrews;
}

/** How often hands do what; common practice, no source. */
const PRIOR: Readonly<Record<Acted, number>> = { asked: 0.96, other: 0.03, both: 0.01 };
/** More turns than this are not weighed against each other: the oldest keep the word they have. */
const MOST_WEIGHED = 6;

const logNormal = (away: number, sd: number): number => -0.5 * (away / sd) ** 2 - Math.log(sd * Math.sqrt(2 * Math.PI));

interface Branch {
  readonly acted: readonly Acted[];
  readonly interplay: InterplayOfScrews;
  readonly logWeight: number;
}

const ACTS: readonly Acted[] = ["asked", "other", "both"];

/**
 * One more turn under each of the three explanations. Wherever it was turned, a screw's own end is its own end: when
 * the other screw was turned, `far` and `near` change places.
 */
const grow = (branch: Branch, effect: ScrewEffect, breadth_kPa: number): readonly Branch[] =>
  ACTS.map((act) => {
    const acted = [...branch.acted, act];
    const prior = branch.logWeight + Math.log(PRIOR[act]);
    // Both turned: the far end may be anywhere within a plausible breadth.
    if (act === "both") return { ...branch, acted, logWeight: prior - Math.log(breadth_kPa) };
    const screw = act === "asked" ? effect.asked : otherScrew(effect.asked);
    const known = branch.interplay[screw];
    const [home, away] = act === "asked" ? [effect.near, effect.far] : [effect.far, effect.near];
    const u = effect.u * Math.hypot(1, known.ratio);
    return {
      acted,
      interplay: { ...branch.interplay, [screw]: taught(known, home, away, u) },
      logWeight: prior + logNormal(away - known.ratio * home, Math.hypot(u, known.u * home)),
    };
  });

/**
 * The most probable story of all turns together, and the interplay it teaches. A single odd turn is set aside instead
 * of spoiling what the others say, whether it comes first or last.
 * @param breadth_kPa changes up to which a hand that turned both screws may have gone
 */
export const explainTurns = (
  effects: readonly ScrewEffect[],
  known: InterplayOfScrews,
  breadth_kPa: number,
): TurnsExplained => {
  let branches: readonly Branch[] = [{ acted: [], interplay: known, logWeight: 0 }];
  for (const effect of effects) {
    const grown = branches.flatMap((branch) => grow(branch, effect, breadth_kPa));
    branches = grown.toSorted((a, b) => b.logWeight - a.logWeight).slice(0, 3 ** (MOST_WEIGHED - 1));
  }
  const best = branches[0] ?? { acted: [], interplay: known };
  return { acted: best.acted, interplay: best.interplay };
};
