import { describe, expect, it } from "vitest";
import { createGauge } from "../../../../drivers/simulated/physics/gauge.ts";
import { createLoopSource } from "../../../../drivers/simulated/physics/loop-source.ts";
import { createRandom } from "../../../../drivers/simulated/physics/random.ts";
import { createAirSupply } from "../../../../drivers/simulated/physics/surroundings.ts";

const steps = (n: number, action: (i: number) => void): void => {
  for (let i = 0; i < n; i++) action(i);
};

describe("gauge model", () => {
  it("filters, updates at its own rate, adds its offset and rounds to its digit", () => {
    const gauge = createGauge({ filter_s: 1, update_s: 0.5, offset: 0.013, resolution: 0.01 }, createRandom(1));
    steps(100, () => gauge.step(10));
    expect(gauge.clean()).toBeCloseTo(10 * (1 - Math.exp(-2)), 9);
    expect(gauge.count()).toBeGreaterThanOrEqual(5);
    expect(gauge.count()).toBeLessThanOrEqual(6);
    steps(1000, () => gauge.step(10));
    expect(gauge.shown()).toBeCloseTo(10.01, 9);
  });

  it("repeats a stale value between updates, spoilt ones included", () => {
    const gauge = createGauge({ update_s: 1, white_noise: 1 }, createRandom(4));
    let changes = 0;
    let last = gauge.poll();
    steps(500, () => {
      gauge.step(0);
      const now = gauge.poll();
      if (now !== last) changes += 1;
      last = now;
    });
    expect(changes).toBe(10);
  });

  it("spoils and loses readings as often as it is told", () => {
    const outliers = { on_wire: 0.1, size: [1, 5] as const, dead_reading: -25 };
    const gauge = createGauge({ outliers, timeout_chance: 0.05 }, createRandom(9));
    const polls = Array.from({ length: 20_000 }, () => gauge.poll());
    const lost = polls.filter((p) => p === null).length / polls.length;
    const spoilt = polls.filter((p) => p !== null && p !== 0);
    // Five standard errors.
    expect(Math.abs(lost - 0.05)).toBeLessThan(5 * Math.sqrt((0.05 * 0.95) / 20_000));
    expect(Math.abs(spoilt.length / 19_000 - 0.1)).toBeLessThan(5 * Math.sqrt((0.1 * 0.9) / 19_000));
    expect(spoilt.every((p) => p === -25 || (Math.abs(p ?? 0) >= 1 && Math.abs(p ?? 0) <= 5))).toBe(true);
    expect(spoilt).toContain(-25);
  });
});

describe("source model", () => {
  it("slews to the rounded set point and refuses what lies outside its range", () => {
    const source = createLoopSource({ slew_mA_per_s: 10, resolution_mA: 0.01 }, 4);
    expect(source.set(8.004)).toBe(true);
    steps(25, () => source.step());
    expect(source.current_mA()).toBeCloseTo(8, 9);
    steps(25, () => source.step());
    expect(source.current_mA()).toBeCloseTo(8, 9);
    expect(source.set(25)).toBe(false);
    expect(source.set(Number.NaN)).toBe(false);
    expect(source.commanded_mA()).toBeCloseTo(8, 9);
  });

  it("cannot drive more than its voltage allows, nor anything into an open loop", () => {
    // Ohm's law: 12 V into 1000 ohm is 12 mA.
    const source = createLoopSource({ compliance_V: 12, loop_ohm: 1000 }, 4);
    source.set(16);
    steps(100, () => source.step());
    expect(source.current_mA()).toBeCloseTo(12, 9);
    expect(source.status().compliance_reached).toBe(true);
    source.openLoop(true);
    expect(source.current_mA()).toBe(0);
    expect(source.status()).toEqual({ loop_open: true, compliance_reached: false, fallback_active: false });
  });

  it("goes to its fallback current when nobody asks it anything, and stays there until it is set again", () => {
    const source = createLoopSource({}, 4);
    source.setFallback(2, 4);
    source.set(20);
    steps(99, () => source.step());
    source.touch();
    steps(99, () => source.step());
    expect(source.commanded_mA()).toBe(20);
    steps(3, () => source.step());
    expect(source.commanded_mA()).toBe(4);
    source.touch();
    steps(100, () => source.step());
    expect(source.current_mA()).toBeCloseTo(4, 9);
    expect(source.status().fallback_active).toBe(true);
    source.set(12);
    expect(source.status().fallback_active).toBe(false);
  });
});

describe("air supply", () => {
  it("droops while air is drawn and recovers", () => {
    const supply = createAirSupply({ pressure_kPa: 140, droop_kPa_s_per_percent: 0.1, recovery_s: 0.5 });
    steps(500, () => supply.step(50));
    expect(supply.pressure_kPa()).toBeCloseTo(135, 3);
    steps(25, () => supply.step(0));
    expect(supply.pressure_kPa()).toBeCloseTo(140 - 5 * Math.exp(-1), 3);
    supply.set(100);
    steps(1000, () => supply.step(0));
    expect(supply.pressure_kPa()).toBeCloseTo(100, 9);
  });
});
