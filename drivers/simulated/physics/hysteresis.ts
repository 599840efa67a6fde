/**
 * Backlash and hysteresis by play operators; a weighted sum of plays is the generalised Prandtl-Ishlinskii model.
 * Source: K. Kuhnen, European Journal of Control 9 (2003) 407.
 */
export interface Play {
  /** Half of the lost motion, % of span. */
  readonly half_width_percent: number;
  /** Share of the output that goes through this play. */
  readonly weight: number;
}

export interface Hysteresis {
  /** Input and output in % of span. */
  advance(input: number): number;
  reset(input: number): void;
}

/** One step of a play: the output stays while the input moves inside the lost motion. */
export const stepPlay = (state: number, input: number, half_width: number): number =>
  Math.min(input + half_width, Math.max(input - half_width, state));

/** H(u) = (1 - sum w) u + sum w_i play_i(u), behind a plain dead band (one play of full weight). */
export const createHysteresis = (plays: readonly Play[], dead_band_percent: number): Hysteresis => {
  const direct = 1 - plays.reduce((sum, play) => sum + play.weight, 0);
  const states = new Float64Array(plays.length);
  let behind = 0;
  return {
    advance: (input) => {
      behind = stepPlay(behind, input, dead_band_percent / 2);
      let output = direct * behind;
      plays.forEach((play, i) => {
        const state = stepPlay(states[i] ?? 0, behind, play.half_width_percent);
        states[i] = state;
        output += play.weight * state;
      });
      return output;
    },
    reset: (input) => {
      behind = input;
      states.fill(input);
    },
  };
};

/** Half-widths of the usual four plays, % of span. */
const HALF_WIDTHS = [0.5, 1, 2, 4] as const;

/**
 * Plays whose full loop has the given width, % of span. `shares` say how much of the width each half-width
 * (0.5, 1, 2, 4 % of span) brings; equal shares if left out.
 */
export const playsOfWidth = (width_percent: number, shares: readonly number[] = [1, 1, 1, 1]): readonly Play[] => {
  const total = HALF_WIDTHS.reduce((sum, _, i) => sum + (shares[i] ?? 0), 0);
  if (width_percent === 0 || total === 0) return [];
  return HALF_WIDTHS.map((half_width_percent, i) => ({
    half_width_percent,
    weight: (width_percent * (shares[i] ?? 0)) / total / (2 * half_width_percent),
  }));
};

/** Width of the full loop, % of span at unit gain: 2 sum w_i r_i, and the dead band. */
export const loopWidth = (plays: readonly Play[], dead_band_percent: number): number =>
  dead_band_percent + plays.reduce((sum, play) => sum + 2 * play.weight * play.half_width_percent, 0);
