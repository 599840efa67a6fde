import { describe, expect, it } from "vitest";
import { createRandom } from "../../drivers/simulated/physics/random.ts";
import { nextLiftOff, quietFloor, USUAL_LIFT_OFF } from "../../src/adjust/lift-off.ts";
import { fitRise } from "../../src/adjust/lift-off-rise.ts";
import { searchOnPlant } from "../benchmarks/adjusting/lift-off-bench.ts";

/** Answer of a first-order lag to a ramp that lifts off at `start_s`: s - tau (1 - exp(-s / tau)). */
const ramp = (rate: number, start_s: number, tau_s: number, end_s: number) =>
  Array.from({ length: Math.round(end_s / 0.1) }, (_, i) => {
    const at_s = 0.1 * (i + 1);
    const s = Math.max(0, at_s - start_s);
    return { at_s, output_percent: rate * (s - tau_s * (1 - Math.exp(-s / tau_s))) };
  });

describe("fitRise", () => {
  it("finds foot and lag of a rise that is exactly first order", () => {
    const fit = fitRise({
      from_percent: -1,
      rate_percent_per_s: 0.1,
      samples: ramp(0.1, 8, 2, 16),
      floor_percent: 0,
      noise_percent: 0.002,
    });
    expect(fit.risen).toBe(true);
    expect(fit.input_percent).toBeCloseTo(-0.2, 2);
    expect(fit.lag_s).toBeGreaterThan(1.7);
    expect(fit.lag_s).toBeLessThan(2.3);
  });

  it("says that an output on its floor did not rise", () => {
    const samples = ramp(0.1, 99, 2, 16);
    const rise = { from_percent: -1, rate_percent_per_s: 0.1, samples, floor_percent: 0, noise_percent: 0.002 };
    expect(fitRise(rise).risen).toBe(false);
  });
});

describe("quietFloor", () => {
  const samples = (output: (t: number) => number) =>
    Array.from({ length: 60 }, (_, i) => ({ at_s: 0.1 * (i + 1), output_percent: output(0.1 * (i + 1)) }));

  it("waits while the air runs out", () => {
    expect(quietFloor(samples((t) => Math.exp(-t / 3)))).toBeNull();
    expect(quietFloor(samples(() => 0.02))).toMatchObject({ floor_percent: expect.closeTo(0.02, 9) });
  });
});

describe("nextLiftOff", () => {
  it("finds lift-off of the plant within 0.05 % of the input span and 90 s, with dead band 0.1 % and 2 s lag", () => {
    for (const zero of [-2, -0.3, 0.4, 1.7]) {
      const unit = { zero_error_percent: zero, dead_band_percent: 0.1, lag_s: 2, noise_percent: 0.01 };
      const { end, truth_percent, time_s } = searchOnPlant(unit, createRandom(`test ${zero}`));
      expect(end.kind).toBe("found");
      if (end.kind !== "found") continue;
      expect(Math.abs(end.input_percent - truth_percent)).toBeLessThan(0.05);
      expect(end.u_percent).toBeLessThan(0.05);
      expect(time_s).toBeLessThanOrEqual(90);
    }
  });

  it("comes from below each time, by more than the dead band", () => {
    const first = nextLiftOff(USUAL_LIFT_OFF, []);
    expect(first).toMatchObject({ kind: "rise", back_to_percent: -4 });
    const rise = {
      kind: "rise",
      from_percent: -4,
      rate_percent_per_s: 0.5,
      samples: ramp(0.5, 8, 1, 11),
      floor_percent: 0,
      noise_percent: 0.01,
    } as const;
    const second = nextLiftOff(USUAL_LIFT_OFF, [rise]);
    expect(second.kind).toBe("rise");
    if (second.kind === "rise") {
      expect(second.from_percent - second.back_to_percent).toBeGreaterThan(USUAL_LIFT_OFF.dead_band_percent);
      expect(second.from_percent).toBeLessThan(0);
    }
  });

  it("says that a unit without air never rises", () => {
    const samples = ramp(0.5, 99, 1, 20);
    const rise = {
      kind: "rise",
      from_percent: -4,
      rate_percent_per_s: 0.5,
      samples,
      floor_percent: 0,
      noise_percent: 0.01,
    };
    expect(nextLiftOff(USUAL_LIFT_OFF, [{ ...rise, kind: "rise" }])).toMatchObject({
      kind: "not-found",
      why: expect.stringContaining("did not rise"),
    });
  });

  it("says that a unit which flows at the lowest input wants its zero lowered first", () => {
    const samples = ramp(0.5, -6, 1, 2).map((s) => ({ ...s, output_percent: s.output_percent }));
    const rise = { from_percent: -4, rate_percent_per_s: 0.5, samples, floor_percent: 0, noise_percent: 0.01 };
    expect(nextLiftOff(USUAL_LIFT_OFF, [{ ...rise, kind: "rise" }])).toMatchObject({ kind: "not-found" });
  });
});
