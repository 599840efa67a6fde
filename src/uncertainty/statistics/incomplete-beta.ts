import { logGamma } from "./log-gamma.ts";

/** Continued fraction of the incomplete beta function (modified Lentz), as a factor of x^a (1-x)^b / (a B(a, b)). */
export const betaFraction = (x: number, a: number, b: number): number => {
  let c = 1;
  let d = 1 / (1 - ((a + b) * x) / (a + 1));
  let f = d;
  for (let m = 1; m < 100_000; m += 1) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / (1 + even * d);
    c = 1 + even / c;
    f *= c * d;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / (1 + odd * d);
    c = 1 + odd / c;
    const step = c * d;
    f *= step;
    if (Math.abs(step - 1) < 1e-16) return f;
  }
  return f;
};

/** I_x(a, b), the share of the beta distribution below x; NaN outside 0 to 1. Abramowitz and Stegun, 26.5.8. */
export const incompleteBeta = (x: number, a: number, b: number): number => {
  if (!(x >= 0 && x <= 1)) return Number.NaN;
  if (x === 0 || x === 1) return x;
  // The fraction converges fast on the near side of the middle; the far side is the rest to 1.
  if (x > (a + 1) / (a + b + 2)) return 1 - incompleteBeta(1 - x, b, a);
  const front = a * Math.log(x) + b * Math.log1p(-x) + logGamma(a + b) - logGamma(a) - logGamma(b);
  return (Math.exp(front) * betaFraction(x, a, b)) / a;
};
