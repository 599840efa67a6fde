import { describe, expect, it } from "vitest";
import { createRandom } from "../../../drivers/simulated/physics/random.ts";
import { deadBandAt, deadBandOf } from "../../../src/analysis/examination/dead-band-test.ts";
import { holdFigures } from "../../../src/analysis/examination/hold-figures.ts";
import { leakLimit_kPa_per_min, leakTest } from "../../../src/analysis/examination/leak-test.ts";
import { linePart, stepResponse } from "../../../src/analysis/examination/step-response.ts";
import { atSupply, droop_kPa, supplyInfluence } from "../../../src/analysis/examination/supply-influence.ts";
import type { Trace } from "../../../src/analysis/examination/trace.ts";
import { mA } from "../../../src/vocabulary/quantities.ts";
import { benchFigures } from "../../benchmarks/explaining/figures-bench.ts";
import { createRig, SPAN_KPA, toKPa, toPercent } from "../../benchmarks/explaining/plant-trace.ts";

const traceOf = (output: (t: number) => number, until_s: number, more: Partial<Trace> = {}): Trace => ({
  name: "drawn",
  from_percent: 20,
  to_percent: 80,
  samples: Array.from({ length: Math.round((until_s + 2) / 0.1) }, (_, i) => 0.1 * i - 2).map((t_s) => ({
    t_s,
    kPa: output(t_s),
    input_percent: t_s < 0 ? 20 : 80,
  })),
  supply: [],
  ...more,
});

describe("stepResponse", () => {
  it("reads a first-order step: T63 = tau, T90 = 2.3026 tau after the dead time", () => {
    const lag = (t: number) => (t < 0.5 ? 36 : 84 - 48 * Math.exp(-(t - 0.5) / 2));
    const step = stepResponse(traceOf(lag, 30), 80);
    expect(step?.direction).toBe("up");
    expect(step?.t63_s).toBeCloseTo(2.5, 1);
    expect(step?.t90_s).toBeCloseTo(0.5 + Math.LN10 * 2, 1);
    expect(step?.dead_time_s).toBeCloseTo(0.5, 0);
    expect(step?.overshoot_percent_of_step).toBeCloseTo(0, 2);
    expect(step?.model?.tau_s).toBeGreaterThan(1.94);
    expect(step?.model?.tau_s).toBeLessThan(2.06);
    expect(step?.model?.rate_percent_per_s).toBeNull();
  });

  it("finds the rate that the flow allows", () => {
    // 60 % at 10 % a second, then an exponential end of 0.5 s.
    const slewed = (t: number) => {
      const y = t < 0 ? 20 : t < 5.5 ? 20 + 10 * t : 80 - 5 * Math.exp(-(t - 5.5) / 0.5);
      return toKPa(y);
    };
    const step = stepResponse(traceOf(slewed, 20), 80);
    expect(step?.model?.rate_percent_per_s).toBeGreaterThan(9);
    expect(step?.model?.rate_percent_per_s).toBeLessThan(11);
    expect(step?.greatest_rate_percent_per_s).toBeGreaterThan(9);
  });

  it("reads an overshoot, and none where there is no step", () => {
    const ring = (t: number) => (t < 0 ? 36 : 84 - 48 * Math.exp(-t) * Math.cos(3 * t));
    expect(stepResponse(traceOf(ring, 15), 80)?.overshoot_percent_of_step).toBeGreaterThan(30);
    expect(
      stepResponse(
        traceOf(() => 36, 15),
        80,
      ),
    ).toBeNull();
  });

  it("tells what part of the delay the line plays", () => {
    const lag = (tau: number) =>
      stepResponse(
        traceOf((t) => (t < 0 ? 36 : 84 - 48 * Math.exp(-t / tau)), 30),
        80,
      );
    const [short, installed] = [lag(1), lag(2.5)];
    expect(short && installed && linePart(short, installed)).toBeCloseTo(0.6, 1);
  });
});

describe("leakTest", () => {
  it("tells a leak from heat that dies away", () => {
    const heat = traceOf((t) => 90 - 0.4 * (1 - Math.exp(-t / 6)), 60);
    const both = traceOf((t) => 90 - 0.4 * (1 - Math.exp(-t / 6)) - (0.3 * t) / 60, 60);
    expect(leakTest(heat)?.loss_kPa_per_min).toBeCloseTo(0, 2);
    expect(leakTest(both)?.loss_kPa_per_min).toBeCloseTo(0.3, 2);
    expect(leakTest(both)?.heat_kPa).toBeCloseTo(0.4, 1);
  });

  it("gives Q = V dP/dt", () => {
    // 0.6 kPa a minute from 2 litres: 0.002 m3 * 600 Pa / 60 s = 0.02 Pa m3/s.
    expect(
      leakTest(
        traceOf((t) => 90 - 0.01 * t, 60),
        0.002,
      )?.Q_Pa_m3_per_s,
    ).toBeCloseTo(0.02, 5);
  });

  it("derives its limit from the uncertainty", () => {
    // A third of U = 0.06 kPa in 30 s is 0.02 kPa in half a minute.
    expect(leakLimit_kPa_per_min(0.06, 30)).toBeCloseTo(0.04, 9);
  });
});

describe("dead band by stairs", () => {
  const stairs = (band: number): Trace => ({
    ...traceOf(() => 0, 1),
    samples: Array.from({ length: 17 * 40 }, (_, i) => {
      const input_percent = 50 - 0.08 * Math.floor(i / 40);
      return { t_s: 0.1 * i, kPa: toKPa(50 - Math.max(0, 50 - input_percent - band)), input_percent };
    }),
  });

  it("finds the corner between standing and following", () => {
    expect(deadBandAt(stairs(0.3), toPercent)?.dead_band_percent).toBeCloseTo(0.3, 2);
    expect(deadBandAt(stairs(5), toPercent)).toBeNull();
  });

  it("reports the largest place, % of input span", () => {
    const places = [25, 50, 75].map((at_percent, i) => ({ at_percent, dead_band_percent: 0.1 * (i + 1) }));
    const figure = deadBandOf(places, { lower_mA: mA(4), upper_mA: mA(20) });
    expect(figure).toMatchObject({ unit: "%input-span", at_percent: 75 });
    expect(figure?.value).toBeCloseTo(0.3, 9);
  });
});

describe("holdFigures", () => {
  const noise = (t: number) => 0.002 * Math.sin(97 * t * t);
  it("reads drift, creep and hunting", () => {
    const drifting = holdFigures(
      traceOf((t) => toKPa(80 + noise(t) + (0.3 * t) / 60), 60),
      toPercent,
    );
    expect(drifting?.drift_percent_per_min).toBeCloseTo(0.3, 2);
    expect(drifting?.swing).toBeNull();
    const creeping = holdFigures(
      traceOf((t) => toKPa(80 + noise(t) - 0.5 * Math.exp(-Math.max(0, t) / 10)), 60),
      toPercent,
    );
    expect(creeping?.creep_percent).toBeGreaterThan(0.03);
    const hunting = holdFigures(
      traceOf((t) => toKPa(80 + noise(t) + 0.2 * Math.sin((2 * Math.PI * t) / 3)), 60),
      toPercent,
    );
    expect(hunting?.swing?.period_s).toBeCloseTo(3, 1);
    expect(hunting?.swing?.amplitude_percent).toBeCloseTo(0.2, 1);
  });
});

describe("supply", () => {
  it("reads influence, lowest supply and droop", () => {
    const at = (supply: number, input: number, output: number) => ({
      supply_kPa: supply,
      input_percent: input,
      output_percent: output,
    });
    const influence = supplyInfluence([
      at(160, 50, 50.4),
      at(140, 50, 50),
      at(160, 100, 100.6),
      at(140, 100, 100),
      at(120, 100, 99.8),
      at(100, 100, 97),
    ]);
    expect(influence?.percent_per_10_kPa).toBeCloseTo(0.2, 1);
    expect(influence?.lowest_full_kPa).toBe(120);
    const trace = traceOf(() => 60, 10, {
      supply: [
        { t_s: -1, kPa: 140 },
        { t_s: 0.5, kPa: 131 },
        { t_s: 9, kPa: 140 },
      ],
    });
    expect(droop_kPa(trace)).toBe(9);
    expect(atSupply(trace, toPercent)).toMatchObject({ supply_kPa: 140, input_percent: 80 });
  });
});

describe("against the plant", () => {
  it.each([
    ["up, hardly any dead time", 1.268, 0.0936, 0.065, 20, 80],
    ["up, a slow second lag", 0.92, 0.405, 0.014, 20, 80],
    ["down", 1.8, 0.36, 0.2, 80, 20],
  ])("finds both time constants within 3 %%: %s", (_title, first_s, second_s, dead_time_s, from, to) => {
    const random = createRandom(`two lags ${first_s}`);
    const plant = { core: { kind: "lags", first_s, second_s }, dead_time_s, initial_percent: from } as const;
    const model = stepResponse(createRig({ plant }, random).jump("step", from, to, 20), SPAN_KPA)?.model;
    expect(Math.abs((model?.tau_s ?? 0) / first_s - 1)).toBeLessThan(0.03);
    expect(Math.abs((model?.line_tau_s ?? 0) / second_s - 1)).toBeLessThan(0.03);
  });

  it("finds time constants, leaks and dead bands", () => {
    const figures = benchFigures(20);
    expect(figures.tau_p95).toBeLessThan(0.03);
    expect(figures.leak_within).toBe(1);
    expect(figures.dead_band_p95).toBeLessThan(0.02);
  });
});
