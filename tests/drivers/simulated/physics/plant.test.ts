import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { playsOfWidth } from "../../../../drivers/simulated/physics/hysteresis.ts";
import { createPlant } from "../../../../drivers/simulated/physics/plant.ts";
import type { PlantSettings } from "../../../../drivers/simulated/physics/plant-settings.ts";
import { orificeFlow, slewThenClose } from "../../../../drivers/simulated/physics/pneumatics.ts";
import { createRandom } from "../../../../drivers/simulated/physics/random.ts";
import { pivoted, usualScrews } from "../../../../drivers/simulated/physics/screws.ts";
import {
  trueErrors,
  trueHysteresis,
  trueLoopWidth,
  trueOutputs,
} from "../../../../drivers/simulated/physics/true-errors.ts";
import { drawPlant, plantKinds } from "./plant-family.ts";

const plantOf = (settings: PlantSettings) => createPlant(settings, createRandom("test"));
const outputAfter = (settings: PlantSettings, input: number, time_s: number): number => {
  const plant = plantOf(settings);
  plant.advance(time_s, input);
  return plant.output();
};

describe("static parts", () => {
  it("is ideal when nothing is set", () => {
    expect(outputAfter({}, 62.5, 0.02)).toBe(62.5);
  });

  it("adds zero, span and bow where they belong", () => {
    const settings = { zero_error_percent: 0.3, span_error_percent: -0.8, bow_percent: 0.5 };
    expect(outputAfter(settings, 0, 1)).toBeCloseTo(0.3, 12);
    expect(outputAfter(settings, 50, 1)).toBeCloseTo(50 + 0.3 - 0.4 + 0.5, 12);
    expect(outputAfter(settings, 100, 1)).toBeCloseTo(100 + 0.3 - 0.8, 12);
    expect(trueErrors(settings, [0, 50, 100]).map((e) => Math.round(e * 1e9) / 1e9)).toEqual([0.3, 0.4, -0.5]);
  });

  it("opens a loop of 2 sum w r plus the dead band", () => {
    const settings = { plays: playsOfWidth(0.4, [1, 3, 2, 2]), dead_band_percent: 0.1 };
    expect(trueLoopWidth(settings)).toBeCloseTo(0.5, 12);
    expect(trueHysteresis(settings)).toBeCloseTo(0.5, 12);
    const plant = plantOf(settings);
    const at = (input: number): number => {
      plant.advance(1, input);
      return plant.output();
    };
    for (const input of [100, 0]) at(input);
    const rising = [0, 25, 50, 75].map(at);
    at(100);
    const falling = [75, 50, 25].map(at);
    expect((falling[1] ?? 0) - (rising[2] ?? 0)).toBeCloseTo(0.5, 12);
    expect((falling[0] ?? 0) - (rising[3] ?? 0)).toBeCloseTo(0.5, 12);
  });

  it("does not answer inside the dead band", () => {
    const plant = plantOf({ dead_band_percent: 0.2, initial_percent: 50 });
    plant.advance(1, 60);
    const there = plant.output();
    plant.advance(1, 59.81);
    expect(plant.output()).toBe(there);
    plant.advance(1, 59.7);
    expect(plant.output()).toBeCloseTo(59.8, 12);
  });

  it("agrees with the truth at rest, whatever the settings and the path", () => {
    const setting = fc.record({
      zero_error_percent: fc.double({ min: -1, max: 1, noNaN: true }),
      span_error_percent: fc.double({ min: -2, max: 2, noNaN: true }),
      bow_percent: fc.double({ min: -0.5, max: 0.5, noNaN: true }),
      width: fc.double({ min: 0, max: 0.5, noNaN: true }),
      dead_band_percent: fc.double({ min: 0, max: 0.3, noNaN: true }),
    });
    const path = fc.array(fc.double({ min: -20, max: 110, noNaN: true }), { minLength: 1, maxLength: 8 });
    fc.assert(
      fc.property(setting, path, ({ width, ...rest }, points) => {
        const settings: PlantSettings = { ...rest, plays: playsOfWidth(width), core: { kind: "lags", first_s: 0.05 } };
        const plant = plantOf(settings);
        const seen = points.map((point) => {
          plant.advance(4, point);
          return plant.output();
        });
        trueOutputs(settings, points).forEach((truth, i) => {
          expect(seen[i]).toBeCloseTo(truth, 8);
        });
      }),
      { numRuns: 40, seed: 11 },
    );
  });
});

describe("slow parts", () => {
  it("creeps in the stated share of a step with the stated time constant", () => {
    const plant = plantOf({ creep: { share: 0.002, tau_s: 40 } });
    plant.advance(0.02, 100);
    expect(plant.output()).toBeCloseTo(100 - 0.2 * Math.exp(-0.02 / 40), 9);
    plant.advance(39.98, 100);
    expect(plant.output()).toBeCloseTo(100 - 0.2 * Math.exp(-1), 9);
  });

  it("trims with the fine stage in the same way", () => {
    expect(outputAfter({ trim: { share: 0.03, tau_s: 5 } }, 100, 10)).toBeCloseTo(100 - 3 * Math.exp(-2), 9);
  });

  it("drifts by its rate and ripples by its amplitude, 30 % of the period rising", () => {
    expect(outputAfter({ drift_percent_per_min: 0.6 }, 50, 120)).toBeCloseTo(51.2, 9);
    const plant = plantOf({ ripple: { amplitude_percent: 0.1, frequency_Hz: 0.05 } });
    const seen = Array.from({ length: 2000 }, () => {
      plant.advance(0.02, 50);
      return plant.output() - 50;
    });
    expect(Math.max(...seen)).toBeCloseTo(0.1, 3);
    expect(Math.min(...seen)).toBeCloseTo(-0.1, 3);
    const rising = seen.slice(1).filter((x, i) => x > (seen[i] ?? 0)).length / (seen.length - 1);
    expect(rising).toBeCloseTo(0.3, 2);
  });

  it("hunts at a quarter of the integral gain", () => {
    const amplitude_percent = 0.1;
    const plant = plantOf({ hunting: { amplitude_percent, integral_per_s: 2 }, initial_percent: 50 });
    const seen = Array.from({ length: 6000 }, () => {
      plant.advance(0.02, 50.01);
      return plant.output() - 50.01;
    }).slice(1000);
    const crossings = seen.slice(1).filter((x, i) => x > 0 !== (seen[i] ?? 0) > 0).length;
    expect(crossings / 2 / 100).toBeCloseTo(0.5, 1);
    expect(Math.max(...seen)).toBeGreaterThan(0.09);
    expect(Math.max(...seen)).toBeLessThan(0.11);
  });
});

describe("air", () => {
  it("has the flow function of ISO 6358", () => {
    // Elliptic form with b = 0.3: choked up to b, 0 at equal pressures, sqrt(1 - 0.25) half way between.
    expect(orificeFlow(0.2)).toBe(1);
    expect(orificeFlow(0.3)).toBe(1);
    expect(orificeFlow(0.65)).toBeCloseTo(Math.sqrt(0.75), 12);
    expect(orificeFlow(1)).toBe(0);
    // The ellipse is an approximation of the ideal nozzle: psi = sqrt(k/(k-1) (r^(2/k) - r^((k+1)/k))), scaled to its
    // greatest value, critical ratio (2/(k+1))^(k/(k-1)); air, k = 1.4 (any text on compressible flow).
    const k = 1.4;
    const nozzle = (r: number): number => Math.sqrt(r ** (2 / k) - r ** ((k + 1) / k));
    const critical = (2 / (k + 1)) ** (k / (k - 1));
    for (const r of [0.6, 0.7, 0.8, 0.9]) {
      expect(Math.abs(orificeFlow(r, critical) - nozzle(r) / nozzle(critical))).toBeLessThan(0.005);
    }
  });

  it("slews far away, closes exponentially near by, and the cut in steps leaves no trace", () => {
    expect(slewThenClose(0, 100, 20, 5, 1)).toBeCloseTo(20, 12);
    expect(slewThenClose(97, 100, 20, 5, 0.5)).toBeCloseTo(100 - 3 * Math.exp(-2), 12);
    let p = 0;
    for (let i = 0; i < 300; i++) p = slewThenClose(p, 100, 20, 5, 0.02);
    expect(p).toBeCloseTo(slewThenClose(0, 100, 20, 5, 6), 9);
  });

  it("fills at the stated rate at mid-range, slower than it ought near the supply, and empties in the stated ratio", () => {
    const relay = { rate_percent_per_s: 20, exhaust_ratio: 0.5, band_percent: 2 };
    const rateAt = (from: number, to: number): number => {
      const plant = plantOf({ relay, initial_percent: from });
      plant.advance(0.1, to);
      return (plant.output() - from) / 0.1;
    };
    expect(rateAt(49, 120)).toBeCloseTo(20, 1);
    expect(rateAt(50.5, -20)).toBeCloseTo(-10, 1);
    expect(rateAt(95, 145)).toBeLessThan(17);
  });

  it("stops short of the supply and never goes below atmosphere", () => {
    const settings: PlantSettings = { supply: { pressure_kPa: 90 } };
    expect(outputAfter(settings, 100, 5)).toBeCloseTo((100 * (90 - 2 - 20)) / 80, 9);
    expect(trueOutputs(settings, [100])[0]).toBeCloseTo(85, 9);
    expect(outputAfter({ relay: { rate_percent_per_s: 50, exhaust_ratio: 1, band_percent: 2 } }, -60, 60)).toBeCloseTo(
      -25,
      3,
    );
  });

  it("leaks away from a closed volume in proportion to gauge pressure", () => {
    // p' = -L p for gauge pressure p: from 100 kPa with 3 % of 80 kPa a minute, exp(-0.024 t/min).
    const plant = plantOf({ leak_percent_per_min: 3, tubing_s: 0.1, initial_percent: 100 });
    plant.isolate(true);
    plant.advance(60, 100);
    const gauge_kPa = 20 + 0.8 * plant.output();
    expect(gauge_kPa).toBeCloseTo(100 * Math.exp(-0.024), 6);
    const tight = plantOf({ tubing_s: 0.1, initial_percent: 100 });
    tight.isolate(true);
    tight.advance(60, 0);
    expect(tight.output()).toBe(100);
  });

  it("acts after the dead time", () => {
    const plant = plantOf({ dead_time_s: 0.3 });
    plant.advance(0.3, 80);
    expect(plant.output()).toBe(0);
    plant.advance(0.02, 80);
    expect(plant.output()).toBe(80);
  });
});

describe("screws", () => {
  it("move both ends, stop at their ends and say so", () => {
    const plant = plantOf({ screws: usualScrews, initial_percent: 0 });
    expect(plant.turn("zero", 0.5)).toEqual({ turned: 0.5, at_stop: false });
    plant.advance(1, 0);
    expect(plant.output()).toBeCloseTo(1.2, 12);
    plant.advance(1, 100);
    expect(plant.output()).toBeCloseTo(101.45, 12);
    expect(plant.turn("zero", 10)).toEqual({ turned: 3.5, at_stop: true });
    expect(plant.screws()).toEqual({ zero: 4, span: 0 });
    expect(trueErrors({ screws: usualScrews }, [0, 100], { turns: { zero: 0.5, span: 0 } })).toEqual([
      expect.closeTo(1.2, 9),
      expect.closeTo(1.45, 9),
    ]);
  });

  it("turn the span about a pivot", () => {
    const effect = pivoted(3, -20);
    const atPivot =
      effect.bottom_percent_per_turn - 0.2 * (effect.top_percent_per_turn - effect.bottom_percent_per_turn);
    expect(atPivot).toBeCloseTo(0, 12);
    expect(effect.top_percent_per_turn).toBe(3);
  });

  it("have lost motion when the thread has", () => {
    const zero = { ...usualScrews.zero, backlash_turns: 0.1 };
    const plant = plantOf({ screws: { ...usualScrews, zero } });
    plant.turn("zero", 0.04);
    plant.advance(0.1, 0);
    expect(plant.output()).toBeCloseTo(0, 12);
    plant.turn("zero", 0.06);
    plant.advance(0.1, 0);
    expect(plant.output()).toBeCloseTo(0.05 * 2.4, 12);
  });

  it("that are not there do not turn", () => {
    expect(plantOf({}).turn("span", 1)).toEqual({ turned: 0, at_stop: true });
  });
});

describe("determinism", () => {
  it("does not depend on how time is cut", () => {
    for (const kind of plantKinds) {
      const drawn = drawPlant(kind, createRandom(`cut ${kind}`));
      const coarse = createPlant(drawn, createRandom(1));
      const fine = createPlant(drawn, createRandom(1));
      coarse.advance(6, 75);
      for (let i = 0; i < 6000; i++) fine.advance(0.001, 75);
      expect(Number.isFinite(coarse.output())).toBe(true);
      expect(fine.output(), kind).toBe(coarse.output());
    }
  });
});
