import { describe, expect, it } from "vitest";
import { rampLag_s } from "../../src/run/ramp-lag.ts";

/** Two lags and a dead time behind a ramp, by small steps. */
const follow = (ramp_s: number, lags: readonly number[], dead_s = 0, poll_s = 0.1) => {
  const dt = 0.001;
  const states = lags.map(() => 0);
  const seen = [{ t_s: 0, value: 10 }];
  for (let i = 1; i <= 60 / dt; i += 1) {
    const t = i * dt;
    let u = Math.min(1, Math.max(0, (t - dead_s) / ramp_s));
    lags.forEach((tau, k) => {
      states[k] = (states[k] ?? 0) + (dt / tau) * (u - (states[k] ?? 0));
      u = states[k] ?? 0;
    });
    if (i % Math.round(poll_s / dt) === 0) seen.push({ t_s: t, value: 10 + 25 * u });
  }
  return seen;
};

describe("rampLag_s", () => {
  it("gives back the lag of a first-order unit, fast or slow against the ramp", () => {
    for (const tau of [0.3, 1, 4]) expect(rampLag_s(follow(5, [tau]), 5, 10, 35)).toBeCloseTo(tau, 1);
  });

  it("counts a second lag and a dead time in", () => {
    const lag = rampLag_s(follow(5, [0.8, 0.3], 0.1), 5, 10, 35) ?? 0;
    expect(lag).toBeGreaterThan(1.05);
    expect(lag).toBeLessThan(1.35);
  });

  it("works downwards", () => {
    const down = follow(5, [1]).map((s) => ({ t_s: s.t_s, value: 45 - s.value }));
    expect(rampLag_s(down, 5, 35, 10)).toBeCloseTo(1, 1);
  });

  it("says nothing where half way was never passed", () => {
    expect(rampLag_s([{ t_s: 0, value: 10 }], 5, 10, 35)).toBeNull();
    expect(rampLag_s(follow(5, [1]), 5, 10, 10)).toBeNull();
  });
});
