/** Flow of air: orifices, a relay that fills and empties a volume, a line of tubing. */

/** Critical pressure ratio of the ISO 6358 form used here. */
const CRITICAL_RATIO = 0.3;

/**
 * Flow function of an orifice, 1 when choked: psi(r) = sqrt(1 - ((r - b)/(1 - b))^2) for r > b. `ratio` is the absolute
 * pressure downstream over upstream. Source: ISO 6358, elliptic form.
 */
export const orificeFlow = (ratio: number, critical: number = CRITICAL_RATIO): number => {
  if (ratio <= critical) return 1;
  if (ratio >= 1) return 0;
  const x = (ratio - critical) / (1 - critical);
  return Math.sqrt(1 - x * x);
};

/**
 * One step of p' = rate * sat((target - p)/band): slewing outside the band, exponential inside, both exact while the
 * rate is held. Never passes the target.
 */
export const slewThenClose = (p: number, target: number, rate: number, band: number, step_s: number): number => {
  const away = target - p;
  const far = Math.abs(away) - band;
  if (far <= 0) return target - away * Math.exp((-rate * step_s) / band);
  const travel = rate * step_s;
  if (travel <= far) return p + Math.sign(away) * travel;
  const rest_s = step_s - far / rate;
  return target - Math.sign(away) * band * Math.exp((-rate * rest_s) / band);
};
