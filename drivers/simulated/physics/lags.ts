/** Linear lags, advanced by exact exponentials: any time constant is stable at any step. Input is held over a step. */
export interface Lag {
  advance(target: number): number;
  reset(value: number): void;
}

/** First order: tau x' = target - x. `tau_s` 0 or less follows at once. */
export const createFirstOrder = (tau_s: number, step_s: number): Lag => {
  const share = tau_s > 0 ? -Math.expm1(-step_s / tau_s) : 1;
  let x = 0;
  return {
    advance: (target) => {
      x += share * (target - x);
      return x;
    },
    reset: (value) => {
      x = value;
    },
  };
};

/** Two first-order lags in a row, solved together, so that the step size leaves no trace. */
export const createTwoLags = (first_s: number, second_s: number, step_s: number): Lag => {
  // Equal time constants make the closed form 0/0; a part in ten thousand apart is beyond telling.
  const b = Math.abs(first_s - second_s) < 1e-4 * first_s ? second_s * (1 + 1e-4) : second_s;
  const fadeA = Math.exp(-step_s / first_s);
  const fadeB = Math.exp(-step_s / b);
  const cross = (first_s / (first_s - b)) * (fadeA - fadeB);
  let x1 = 0;
  let x2 = 0;
  return {
    advance: (target) => {
      x2 = target + (x2 - target) * fadeB + (x1 - target) * cross;
      x1 = target + (x1 - target) * fadeA;
      return x2;
    },
    reset: (value) => {
      x1 = value;
      x2 = value;
    },
  };
};

/** Second order, damping below 1: x'' = wn^2 (target - x) - 2 zeta wn x'. */
export const createRinging = (zeta: number, wn_per_s: number, step_s: number): Lag => {
  const sigma = zeta * wn_per_s;
  const wd = wn_per_s * Math.sqrt(1 - zeta * zeta);
  const fade = Math.exp(-sigma * step_s);
  const c = fade * Math.cos(wd * step_s);
  const s = (fade * Math.sin(wd * step_s)) / wd;
  let x = 0;
  let speed = 0;
  return {
    advance: (target) => {
      const away = x - target;
      x = target + away * c + (speed + sigma * away) * s;
      speed = speed * c - (sigma * speed + wn_per_s * wn_per_s * away) * s;
      return x;
    },
    reset: (value) => {
      x = value;
      speed = 0;
    },
  };
};
