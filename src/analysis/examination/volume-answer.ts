/** Parameters of the model: dead time, both time constants, s; greatest speed in steps a second, or null. */
export interface VolumeParameters {
  readonly theta: number;
  readonly tau: number;
  readonly line: number;
  readonly rate: number | null;
}

/** Two lags in a row, exactly: 1 - (a exp(-t/a) - b exp(-t/b)) / (a - b); any text on linear systems. */
const twoLags = (t: number, a: number, b: number): number => {
  if (t <= 0) return 0;
  // Nearly alike, the difference of both loses its digits: their mean, twice, is as good.
  if (Math.abs(a - b) < 1e-4 * a) {
    const m = (a + b) / 2;
    return 1 - (1 + t / m) * Math.exp(-t / m);
  }
  return 1 - (a * Math.exp(-t / a) - b * Math.exp(-t / b)) / (a - b);
};

/** Speed-limited first lag, by small steps, straight between them. */
const limited = (times: readonly number[], { theta, tau, line, rate }: VolumeParameters): readonly number[] => {
  const dt = Math.min(0.04, Math.max(0.003, Math.min(tau, line) / 8));
  const [fade, lineFade] = [Math.exp(-dt / tau), Math.exp(-dt / line)];
  let [t, p, q, before] = [theta, 0, 0, 0];
  return times.map((at) => {
    while (t < at) {
      const next = Math.min(1 + (p - 1) * fade, p + (rate ?? Number.POSITIVE_INFINITY) * dt);
      before = q;
      // Exact for a command held at the mean of the step.
      q = (p + next) / 2 + (q - (p + next) / 2) * lineFade;
      p = next;
      t += dt;
    }
    return t <= theta ? 0 : q + ((at - t) / dt) * (q - before);
  });
};

/** Answer of the model to a unit step, at these times in rising order. */
export const volumeAnswer = (times: readonly number[], parameters: VolumeParameters): readonly number[] =>
  parameters.rate === null
    ? times.map((t) => twoLags(t - parameters.theta, parameters.tau, parameters.line))
    : limited(times, parameters);
