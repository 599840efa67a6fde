/** Adjusting screws of the simulated converter. Each moves both ends of the range, so they interplay. */
export interface ScrewSettings {
  /** Shift of the output at 0 % of the range per turn clockwise, % of span. */
  readonly bottom_percent_per_turn: number;
  /** Shift of the output at 100 % of the range per turn clockwise, % of span. */
  readonly top_percent_per_turn: number;
  /** Turns from the starting position to the stop, anticlockwise (negative). */
  readonly lower_stop_turns: number;
  /** Turns from the starting position to the stop, clockwise. */
  readonly upper_stop_turns: number;
  /** Lost motion of the thread, turns. */
  readonly backlash_turns?: number;
}

export interface ScrewPair {
  readonly zero: ScrewSettings;
  readonly span: ScrewSettings;
}

/** Turns away from the starting position. */
export interface ScrewTurns {
  readonly zero: number;
  readonly span: number;
}

/** A span screw that leaves the output at `pivot_percent` of the range alone. */
export const pivoted = (
  top_percent_per_turn: number,
  pivot_percent: number,
): Pick<ScrewSettings, "bottom_percent_per_turn" | "top_percent_per_turn"> => ({
  top_percent_per_turn,
  bottom_percent_per_turn: (-top_percent_per_turn * pivot_percent) / (100 - pivot_percent),
});

/** Wide, unequal interplay: what an elderly unit with a flapper and a range spring may show (invented figures). */
export const usualScrews: ScrewPair = {
  zero: {
    bottom_percent_per_turn: 2.4,
    top_percent_per_turn: 2.9,
    lower_stop_turns: -4,
    upper_stop_turns: 4,
  },
  span: { ...pivoted(3.2, -20), lower_stop_turns: -4, upper_stop_turns: 4 },
};

/** Shift of the output at `percent` of the range for a screw that acts by `turns`, % of span. */
export const screwShift = (screw: ScrewSettings, turns: number, percent: number): number =>
  turns *
  (screw.bottom_percent_per_turn + (percent / 100) * (screw.top_percent_per_turn - screw.bottom_percent_per_turn));
