/** Time constants a response may have, s: a logarithmic grid shared by the models and by what is remembered of a unit. */
export const modeCount = 24;
export const modeTau: Float64Array = Float64Array.from({ length: modeCount }, (_, i) => 0.12 * (16 / 0.12) ** (i / 23));

/** Slow modes that follow the main movement: tails and creep. */
export const slowTau: Float64Array = Float64Array.from([1.5, 2.2, 3.2, 4.7, 7, 10, 15, 22, 33, 50, 75, 115]);
export const slowCount = 12;
/** The slow modes from here on are creep. */
export const creepFrom = 6;
