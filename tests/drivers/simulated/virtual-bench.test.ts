import { firstValueFrom, VirtualTimeScheduler } from "rxjs";
import { describe, expect, it } from "vitest";
import {
  type SimulatedBenchSettings,
  type SimulationWishes,
  settingsFromWishes,
  usualTransfer,
  usualWishes,
} from "../../../drivers/simulated/bench-settings.ts";
import { trueErrors, trueHysteresis } from "../../../drivers/simulated/physics/true-errors.ts";
import { createSimulatedBench } from "../../../drivers/simulated/simulated-bench.ts";
import { createVirtualBench, type VirtualBench } from "../../../drivers/simulated/virtual-bench.ts";
import { kPa, mA } from "../../../src/vocabulary/quantities.ts";

const wished = (converter: Partial<SimulationWishes["converter"]>, more: Partial<SimulationWishes> = {}) =>
  settingsFromWishes({ ...usualWishes, ...more, converter: { ...usualWishes.converter, ...converter } });

const noisy = wished({ zero_error: 0.4, hysteresis: 0.2, creep: 0.001 }, { seed: 5, gauge_noise: 0.01 });

/** Runs a virtual bench through `body` and on until `until_s`. */
const play = <T>(
  settings: SimulatedBenchSettings,
  until_s: number,
  body: (bench: VirtualBench, scheduler: VirtualTimeScheduler, keep: T[]) => void,
): readonly T[] => {
  const scheduler = new VirtualTimeScheduler();
  const bench = createVirtualBench(settings, scheduler);
  const kept: T[] = [];
  body(bench, scheduler, kept);
  scheduler.maxFrames = 1000 * until_s;
  scheduler.flush();
  return kept;
};

/** A climb and a fall in five points, 60 s each; every sample is kept. */
const calibration = (settings: SimulatedBenchSettings) =>
  play<string>(settings, 9 * 60, (bench, scheduler, kept) => {
    bench.pressure$.subscribe((sample) => kept.push(JSON.stringify(sample)));
    bench.supply$?.subscribe((sample) => kept.push(JSON.stringify(sample)));
    [4, 8, 12, 16, 20, 16, 12, 8, 4].forEach((current, i) => {
      scheduler.schedule(() => bench.command(mA(current)).subscribe((r) => kept.push(JSON.stringify(r))), 60_000 * i);
    });
  });

describe("virtual bench", () => {
  it("gives bit-identical readings twice for one seed, and others for another", () => {
    const once = calibration(noisy);
    expect(once.length).toBeGreaterThan(5000);
    expect(calibration(noisy)).toEqual(once);
    expect(calibration({ ...noisy, seed: 6 })).not.toEqual(once);
  });

  it("runs forty minutes in well under a second", () => {
    const bench = createSimulatedBench(noisy);
    const before = process.cpuUsage().user;
    for (let i = 0; i < 400; i++) {
      bench.source.set(i % 2 === 0 ? 4 : 20);
      bench.advanceTo(6 * (i + 1));
    }
    expect(bench.time_s()).toBeCloseTo(2400, 6);
    expect((process.cpuUsage().user - before) / 1e6).toBeLessThan(1);
  });

  it("goes on from wherever somebody else has brought it, and never back", () => {
    const bench = createSimulatedBench(noisy);
    bench.advanceTo(10);
    for (let i = 0; i < 1000; i++) bench.advanceBy(0.003);
    expect(bench.time_s()).toBeCloseTo(13, 9);
    bench.advanceTo(5);
    expect(bench.time_s()).toBeCloseTo(13, 9);
  });

  it("polls only while somebody listens, and once for two listeners", () => {
    const at: number[][] = [[], []];
    play<never>(noisy, 10, (bench, scheduler) => {
      const first = bench.pressure$.subscribe((s) => s.ok && at[0]?.push(s.value.at_s));
      const second = bench.pressure$.subscribe((s) => s.ok && at[1]?.push(s.value.at_s));
      scheduler.schedule(() => {
        first.unsubscribe();
        second.unsubscribe();
      }, 5000);
    });
    expect(at[0]?.length).toBeGreaterThan(45);
    expect(at[0]?.length).toBeLessThan(56);
    expect(at[1]).toEqual(at[0]);
  });

  it("shows the true error of the converter at rest, with the reading error of a clean gauge", () => {
    const settings = wished({ zero_error: 0.4, span_error: -0.7, bow: 0.2, hysteresis: 0.3 }, { gauge_noise: 0 });
    const points = [0, 25, 50, 75, 100, 75, 50, 25, 0];
    const bench = createSimulatedBench(settings);
    const seen = points.map((point, i) => {
      bench.source.set(4 + 0.16 * point);
      bench.advanceTo(60 * (i + 1));
      return bench.gauge.shown() - (20 + 0.8 * point);
    });
    trueErrors(bench.plantSettings, points).forEach((truth, i) => {
      // Display digit 0.001 kPa, half of it rounds away.
      expect(Math.abs((seen[i] ?? 0) - 0.8 * truth)).toBeLessThan(0.0006);
    });
    expect(trueHysteresis(bench.plantSettings)).toBeGreaterThan(0.25);
  });

  it("serves reverse action, a square root and an absolute range", () => {
    const atRest = (settings: SimulatedBenchSettings, current: number): number => {
      const bench = createSimulatedBench(settings);
      bench.source.set(current);
      bench.advanceTo(60);
      return bench.truth().pressure_kPa;
    };
    const reverse = settingsFromWishes(usualWishes, { ...usualTransfer, action: "reverse" });
    expect(reverse.start_mA).toBe(20);
    expect(atRest(reverse, 8)).toBeCloseTo(80, 3);
    const root = settingsFromWishes(usualWishes, { ...usualTransfer, characteristic: "square-root" });
    expect(atRest(root, 8)).toBeCloseTo(60, 3);
    const absolute = settingsFromWishes(
      { ...usualWishes, supply_kPa: 200 },
      {
        ...usualTransfer,
        output: { ...usualTransfer.output, lower_kPa: kPa(120), upper_kPa: kPa(200), mode: "absolute" },
      },
    );
    expect(atRest(absolute, 12)).toBeCloseTo(160, 3);
    // 0 mA asks for 100 kPa absolute, which lies below the atmosphere of 101.3 kPa.
    expect(atRest(absolute, 0)).toBeCloseTo(101.3, 2);
  });

  it("says that it is simulated, through every instrument", async () => {
    const scheduler = new VirtualTimeScheduler();
    const bench = createVirtualBench(noisy, scheduler);
    expect(bench.simulated).toBe(true);
    const answer = firstValueFrom(bench.identify());
    scheduler.flush();
    const instruments = await answer;
    expect(instruments.map((i) => i.role)).toEqual([
      "source",
      "gauge",
      "current-meter",
      "supply-gauge",
      "ambient",
      "humidity",
      "barometer",
    ]);
    for (const { identity } of instruments) {
      expect(identity.ok && identity.value.simulated).toBe(true);
      expect(identity.ok && identity.value.maker).toMatch(/^SIMULATED/u);
    }
  });

  it("makes safe, and says so when it cannot", () => {
    const outcomes = play<string>(noisy, 200, (bench, scheduler, kept) => {
      bench.command(mA(20)).subscribe();
      const safe = (at_s: number, before: () => void = () => undefined) =>
        scheduler.schedule(() => {
          before();
          bench.makeSafe().subscribe((o) => kept.push(`${o.kind} ${o.kind === "safe" ? o.current_mA : o.reason}`));
        }, 1000 * at_s);
      safe(30);
      safe(60, () => bench.model.source.openLoop(true));
      safe(90, () => {
        bench.model.silent.source = true;
      });
    });
    expect(outcomes).toEqual([
      "safe 4",
      "unknown The simulated source drives 0.000 mA where 4 mA was commanded.",
      "unknown The simulated source did not answer.",
    ]);
  });

  it("turns silence and refusals into named faults and goes on", () => {
    const codes = play<string>(noisy, 20, (bench, scheduler, kept) => {
      bench.pressure$.subscribe((s) => kept.push(s.ok ? "ok" : s.fault.code));
      scheduler.schedule(() => {
        bench.model.silent.gauge = true;
      }, 5000);
      scheduler.schedule(() => {
        bench.model.silent.gauge = false;
      }, 10_000);
      scheduler.schedule(() => {
        bench.model.gaugeState.sensor_fault = true;
      }, 15_000);
      scheduler.schedule(() => {
        bench.model.gaugeState.sensor_fault = false;
      }, 16_000);
      bench.command(mA(30)).subscribe((r) => kept.push(r.ok ? "set" : r.fault.code));
    });
    expect(codes).toContain("not-a-number");
    expect(codes.filter((c) => c === "silence").length).toBeGreaterThan(40);
    expect(codes.at(-1)).toBe("ok");
    expect(codes).toContain("device-refused");
  });
});
