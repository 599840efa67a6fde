import type { Random } from "./random.ts";

/** White noise plus five equal Ornstein-Uhlenbeck terms, whose sum looks like 1/f noise from about 0.5 s to 128 s. */
export interface Noise {
  /** Next value, `dt_s` after the last one. */
  next(dt_s: number): number;
}

const OU_TIMES_S = [0.5, 2, 8, 32, 128] as const;

/** `white` and `slow` are the standard deviations of the two parts, in the unit of the reading. */
export const createNoise = (white: number, slow: number, random: Random): Noise => {
  const each = slow / Math.sqrt(OU_TIMES_S.length);
  const states = OU_TIMES_S.map(() => random.normal(0, each));
  let lastDt_s = -1;
  let fades: readonly number[] = [];
  let kicks: readonly number[] = [];
  return {
    next: (dt_s) => {
      let sum = white > 0 ? random.normal(0, white) : 0;
      if (slow > 0) {
        if (dt_s !== lastDt_s) {
          lastDt_s = dt_s;
          fades = OU_TIMES_S.map((tau) => Math.exp(-dt_s / tau));
          kicks = fades.map((fade) => each * Math.sqrt(1 - fade * fade));
        }
        for (let i = 0; i < states.length; i++) {
          const next = (states[i] ?? 0) * (fades[i] ?? 0) + random.normal(0, kicks[i] ?? 0);
          states[i] = next;
          sum += next;
        }
      }
      return sum;
    },
  };
};
