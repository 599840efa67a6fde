import { describe, expect, it } from "vitest";
import { createFirstOrder, createRinging, createTwoLags } from "../../../../drivers/simulated/physics/lags.ts";

const run = (lag: { advance(x: number): number }, steps: number): readonly number[] =>
  Array.from({ length: steps }, () => lag.advance(1));

describe("lags", () => {
  // Source: the first-order step table found in any control course (ecexplain.in): 63.21, 86.47, 95.02, 98.17, 99.33 %.
  it.each([
    [1, 0.6321],
    [2, 0.8647],
    [3, 0.9502],
    [4, 0.9817],
    [5, 0.9933],
  ])("reaches the published share after %i time constants", (n, share) => {
    for (const step_s of [0.02, 0.5]) {
      const lag = createFirstOrder(1.5, step_s);
      expect(run(lag, Math.round((1.5 * n) / step_s)).at(-1)).toBeCloseTo(share, 4);
    }
  });

  it("overshoots by 16.3 % after 0.36 s at damping 0.5 and 10 rad/s", () => {
    // Source: worked example of a second-order step (ecexplain.in).
    const outputs = run(createRinging(0.5, 10, 0.001), 2000);
    const peak = Math.max(...outputs);
    expect(100 * (peak - 1)).toBeCloseTo(16.3, 1);
    expect((outputs.indexOf(peak) + 1) * 0.001).toBeCloseTo(0.36, 2);
  });

  it("solves two lags exactly, whatever the step", () => {
    // Closed form for a unit step: 1 - (a e^(-t/a) - b e^(-t/b)) / (a - b).
    const [a, b, t] = [2, 0.5, 3];
    const exact = 1 - (a * Math.exp(-t / a) - b * Math.exp(-t / b)) / (a - b);
    expect(run(createTwoLags(a, b, 0.02), 150).at(-1)).toBeCloseTo(exact, 10);
    expect(run(createTwoLags(a, b, 1.5), 2).at(-1)).toBeCloseTo(exact, 10);
    // Equal lags: 1 - (1 + t/a) e^(-t/a).
    expect(run(createTwoLags(2, 2, 0.02), 150).at(-1)).toBeCloseTo(1 - 2.5 * Math.exp(-1.5), 4);
  });
});
