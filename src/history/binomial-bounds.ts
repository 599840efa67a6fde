/** P(X >= successes) of a binomial. Summed away from the middle, so that the terms only get smaller. */
const atLeast = (successes: number, trials: number, p: number): number => {
  if (successes <= 0) return 1;
  if (p <= 0) return 0;
  if (p >= 1) return 1;
  const up = successes > trials * p;
  const first = up ? successes : successes - 1;
  let logChoose = 0;
  for (let i = 1; i <= first; i += 1) logChoose += Math.log((trials - first + i) / i);
  let term = Math.exp(logChoose + first * Math.log(p) + (trials - first) * Math.log1p(-p));
  let total = 0;
  const odds = p / (1 - p);
  for (let x = first; x >= 0 && x <= trials && term > 0; x += up ? 1 : -1) {
    total += term;
    term *= up ? ((trials - x) / (x + 1)) * odds : x / (trials - x + 1) / odds;
  }
  return up ? Math.min(1, total) : Math.max(0, 1 - total);
};

/** p at which the rising function reaches `level`. */
const solve = (rising: (p: number) => number, level: number): number => {
  let [low, high] = [0, 1];
  for (let i = 0; i < 80; i += 1) {
    const middle = (low + high) / 2;
    if (rising(middle) < level) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
};

/**
 * Two-sided confidence interval of a share from `successes` out of `trials`, exact in the sense that it covers with at
 * least the confidence asked for. Source: C. J. Clopper and E. S. Pearson, Biometrika 26 (1934) 404.
 */
export const binomialBounds = (
  successes: number,
  trials: number,
  confidence: number,
): { readonly lower: number; readonly upper: number } => {
  const tail = (1 - confidence) / 2;
  return {
    lower: successes === 0 ? 0 : solve((p) => atLeast(successes, trials, p), tail),
    upper: successes === trials ? 1 : solve((p) => atLeast(successes + 1, trials, p), 1 - tail),
  };
};
