import { describe, expect, it } from "vitest";
import { createNoise } from "../../../../drivers/simulated/physics/noise.ts";
import { createRandom } from "../../../../drivers/simulated/physics/random.ts";

const mean = (xs: readonly number[]): number => xs.reduce((a, b) => a + b, 0) / xs.length;
const variance = (xs: readonly number[]): number => {
  const centre = mean(xs);
  return mean(xs.map((x) => (x - centre) ** 2));
};

describe("seeded randomness", () => {
  it("repeats itself for one seed and differs for another", () => {
    const draw = (seed: number): readonly number[] => {
      const random = createRandom(seed);
      return Array.from({ length: 50 }, () => random.uniform());
    };
    expect(draw(7)).toEqual(draw(7));
    expect(draw(7)).not.toEqual(draw(8));
  });

  it("splits by name, whatever was drawn before", () => {
    const a = createRandom(3);
    const b = createRandom(3);
    for (let i = 0; i < 10; i++) b.normal();
    expect(a.split("gauge").uniform()).toBe(b.split("gauge").uniform());
    expect(a.split("gauge").uniform()).not.toBe(a.split("source").uniform());
  });

  it("has the moments and the tails of a uniform and a normal law", () => {
    const random = createRandom("moments");
    const u = Array.from({ length: 40_000 }, () => random.uniform());
    const n = Array.from({ length: 40_000 }, () => random.normal(2, 3));
    // Five standard errors of each figure.
    expect(Math.abs(mean(u) - 0.5)).toBeLessThan(5 * Math.sqrt(1 / 12 / 40_000));
    expect(Math.abs(variance(u) - 1 / 12)).toBeLessThan(5 * Math.sqrt(1 / 180 / 40_000));
    expect(Math.abs(mean(n) - 2)).toBeLessThan(5 * (3 / 200));
    expect(Math.abs(variance(n) - 9)).toBeLessThan(5 * 9 * Math.sqrt(2 / 40_000));
    // Two-sided 5 % of a normal law lie beyond 1.959964 standard deviations.
    const beyond = n.filter((x) => Math.abs(x - 2) > 1.959964 * 3).length / n.length;
    expect(Math.abs(beyond - 0.05)).toBeLessThan(5 * Math.sqrt((0.05 * 0.95) / 40_000));
  });

  it("makes slow noise of the stated size that hangs together over seconds", () => {
    const values: number[] = [];
    for (let i = 0; i < 400; i++) {
      const noise = createNoise(0, 0.006, createRandom(`slow ${i}`));
      values.push(noise.next(0.1));
      for (let k = 0; k < 20; k++) noise.next(0.1);
    }
    expect(Math.sqrt(variance(values)) / 0.006).toBeGreaterThan(0.85);
    expect(Math.sqrt(variance(values)) / 0.006).toBeLessThan(1.15);
    const noise = createNoise(0, 1, createRandom("one"));
    const run = Array.from({ length: 20_000 }, () => noise.next(0.1));
    const steps = run.slice(1).map((x, i) => x - (run[i] ?? 0));
    // Sum over the five terms of 2/5 (1 - exp(-0.1/tau)), tau = 0.5, 2, 8, 32, 128 s: variance of a step of 0.1 s.
    const expected = [0.5, 2, 8, 32, 128].reduce((sum, tau) => sum + 0.4 * (1 - Math.exp(-0.1 / tau)), 0);
    expect(variance(steps) / expected).toBeGreaterThan(0.9);
    expect(variance(steps) / expected).toBeLessThan(1.1);
  });
});
