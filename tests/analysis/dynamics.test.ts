import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  firstOrderShare,
  firstOrderTimeTo,
  logDecrement,
  secondOrderShare,
  stepFigures,
} from "../../src/analysis/dynamics.ts";
import { molarLeak_mol_per_s } from "../../src/analysis/leak.ts";

const traceOf = (value: (t: number) => number, seconds: number) =>
  Array.from({ length: seconds * 1000 + 1 }, (_, i) => ({ at_s: 5 + i / 1000, value: value(i / 1000) }));

describe("a recorded step", () => {
  test("of a first-order lag shows its time constant, rising and falling", () => {
    for (const [start, final] of [
      [20, 100],
      [100, 20],
    ] as const) {
      const trace = traceOf((t) => start + (final - start) * firstOrderShare(t, 2), 16);
      const read = stepFigures(trace, { step_at_s: 5, start, final, band_share: 0.02 });
      expect(read?.t63_s).toBeCloseTo(2, 5);
      expect(read?.t86_s).toBeCloseTo(4, 5);
      expect(read?.t90_s).toBeCloseTo(firstOrderTimeTo(0.9, 2), 5);
      expect(read?.rise_s).toBeCloseTo(2 * Math.log(9), 5);
      expect(read?.settling_s).toBeCloseTo(2 * Math.log(50), 5);
      expect(read?.overshoot_share).toBe(0);
    }
  });

  test("that rings is settled at its last crossing, not at its first", () => {
    const trace = traceOf((t) => secondOrderShare({ zeta: 0.1, omega_n: 10 }, t), 8);
    const read = stepFigures(trace, { step_at_s: 5, start: 0, final: 1, band_share: 0.02 });
    expect(read?.t90_s).toBeLessThan(0.2);
    expect(read?.settling_s).toBeGreaterThan(3.5);
  });

  test("that has not settled, or was cut short, says null instead of a guess", () => {
    const trace = traceOf((t) => firstOrderShare(t, 2), 2);
    expect(stepFigures(trace, { step_at_s: 5, start: 0, final: 1, band_share: 0.02 })).toMatchObject({
      t90_s: null,
      rise_s: null,
      settling_s: null,
    });
    expect(stepFigures([], { step_at_s: 0, start: 0, final: 1, band_share: 0.02 })).toMatchObject({
      t63_s: null,
      settling_s: null,
    });
  });

  test("without a step, or with a sample that is none, has no figures", () => {
    expect(stepFigures([], { step_at_s: 0, start: 1, final: 1, band_share: 0.02 })).toBeNull();
    expect(
      stepFigures([{ at_s: 0, value: Number.NaN }], { step_at_s: 0, start: 0, final: 1, band_share: 0.02 }),
    ).toBeNull();
  });
});

test("property: the decrement of true peaks gives back damping and natural frequency", () => {
  fc.assert(
    fc.property(
      fc.double({ noNaN: true, min: 0.02, max: 0.6 }),
      fc.double({ noNaN: true, min: 0.5, max: 500 }),
      (zeta, omega_n) => {
        const damped = omega_n * Math.sqrt(1 - zeta ** 2);
        const peaks = [0, 1, 2].map((i) => {
          const at_s = ((2 * i + 1) * Math.PI) / damped;
          return { at_s, overshoot: secondOrderShare({ zeta, omega_n }, at_s) - 1 };
        });
        // Peaks that have died away into rounding measure rounding.
        fc.pre((peaks[2]?.overshoot ?? 0) > 1e-6);
        const found = logDecrement(peaks);
        expect(found?.zeta).toBeCloseTo(zeta, 6);
        expect((found?.omega_n ?? Number.NaN) / omega_n).toBeCloseTo(1, 6);
      },
    ),
  );
});

test("peaks that do not fall, or one peak, have no decrement", () => {
  expect(logDecrement([])).toBeNull();
  expect(logDecrement([{ at_s: 1, overshoot: 0.5 }])).toBeNull();
  expect(
    logDecrement([
      { at_s: 1, overshoot: 0.5 },
      { at_s: 2, overshoot: 0.5 },
    ]),
  ).toBeNull();
  expect(
    logDecrement([
      { at_s: 1, overshoot: 0.5 },
      { at_s: 2, overshoot: -0.1 },
    ]),
  ).toBeNull();
});

test("a warming volume looks like a leak in the pressure alone, and not in the amount of gas", () => {
  const before = { absolute_Pa: 201325, temperature_K: 293 };
  const after = { absolute_Pa: (201325 * 293.1) / 293, temperature_K: 293.1 };
  expect(Math.abs(molarLeak_mol_per_s(0.001, before, after, 60))).toBeLessThan(1e-18);
});
