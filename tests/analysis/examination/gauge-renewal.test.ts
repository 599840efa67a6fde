import { describe, expect, it } from "vitest";
import { createRandom } from "../../../drivers/simulated/physics/random.ts";
import { datingsOf } from "../../../src/analysis/examination/gauge-renewal.ts";

/** A gauge that measures every `period_s` from `phase_s` on, polled with jitter; the output runs at one unit a second. */
const polled = (period_s: number, phase_s: number, poll_s: number, seed: string, n = 300) => {
  const random = createRandom(seed);
  let t = 0;
  return Array.from({ length: n }, () => {
    t += poll_s * random.uniform(0.9, 1.1);
    const measured = phase_s + Math.floor((t - phase_s) / period_s) * period_s;
    return { t_s: t, kPa: measured, t, measured };
  });
};

describe("datingsOf", () => {
  it("tells from the repeats when the gauge measured, and keeps each measurement once", () => {
    for (const [period, phase] of [
      [0.25, 0.11],
      [0.5, 0.4],
      [0.1, 0.03],
    ] as const) {
      const readings = polled(period, phase, 0.09, `gauge ${period}`);
      const [dating, ...others] = datingsOf(readings);
      expect(others).toEqual([]);
      const dated = dating?.(readings) ?? [];
      expect(new Set(dated.map((r) => r.kPa)).size).toBe(dated.length);
      for (const r of dated) expect(Math.abs(r.t - r.measured)).toBeLessThan(0.02);
    }
  });

  it("offers only times that no change within a period contradicts, where there are no repeats", () => {
    const readings = polled(0.1, 0.05, 0.1, "no repeats", 12);
    for (const dating of datingsOf(readings)) expect(dating(readings).length).toBe(readings.length);
  });

  it("offers nothing for a gauge polled far more slowly than it measures", () => {
    expect(datingsOf(polled(0.02, 0, 3, "slow"))).toEqual([]);
  });
});
