import { createRandom } from "../../../drivers/simulated/physics/random.ts";
import { deadBandAt } from "../../../src/analysis/examination/dead-band-test.ts";
import { leakTest } from "../../../src/analysis/examination/leak-test.ts";
import { stepResponse } from "../../../src/analysis/examination/step-response.ts";
import { quantile } from "../adjusting/technician.ts";
import { createRig, SPAN_KPA, toPercent } from "./plant-trace.ts";

export interface FiguresBench {
  readonly plants: number;
  /** Relative errors of the main time constant, steps of 60 % up. */
  readonly tau_median: number;
  readonly tau_p95: number;
  /** Relative errors of the second time constant, by its share of the main one. */
  readonly line: readonly { readonly from: number; readonly to: number; readonly p50: number; readonly p95: number }[];
  /** Errors of the loss over what is allowed: 10 % or 0.02 % of span a minute, whichever is greater. */
  readonly leak_share_most: number;
  readonly leak_within: number;
  /** Errors of the dead band, % of input span. */
  readonly dead_band_p95: number;
}

const BANDS = [
  [0.05, 0.1],
  [0.1, 0.2],
  [0.2, 0.35],
  [0.35, 0.5],
] as const;

/** Time constants, leaks and dead bands of random plants by the tests, against the plants' own figures. */
export const benchFigures = (count: number): FiguresBench => {
  const tau: number[] = [];
  const line: { readonly share: number; readonly off: number }[] = [];
  const leak: number[] = [];
  const dead: number[] = [];
  for (let i = 0; i < count; i += 1) {
    const random = createRandom(`figures ${i}`);
    const first_s = random.logUniform(0.4, 5);
    const second_s = first_s * random.uniform(0.05, 0.5);
    const lagged = createRig(
      {
        plant: { core: { kind: "lags", first_s, second_s }, dead_time_s: random.uniform(0, 0.4), initial_percent: 20 },
      },
      random.split("lags"),
    );
    const response = stepResponse(lagged.jump("step up", 20, 80, Math.max(10, 12 * first_s)), SPAN_KPA);
    tau.push(Math.abs((response?.model?.tau_s ?? Number.NaN) / first_s - 1));
    line.push({
      share: second_s / first_s,
      off: Math.abs((response?.model?.line_tau_s ?? Number.NaN) / second_s - 1),
    });

    const rate = random.logUniform(0.02, 6);
    const leaking = createRig(
      { plant: { leak_percent_per_min: rate, initial_percent: 90, tubing_s: 0.2 } },
      random.split("leak"),
    );
    leaking.watch(90, 5);
    leaking.plant.isolate(true);
    const at = leaking.plant.output();
    const trace = leaking.hold("closed", 90, 60);
    // The plant's rate is stated at full output and is proportional to gauge pressure; the mean over the minute counts.
    const true_percent = at - leaking.plant.output();
    const found = leakTest(trace);
    const off = Math.abs(((found?.loss_kPa_per_min ?? Number.NaN) / SPAN_KPA) * 100 - true_percent);
    leak.push(off / Math.max(0.1 * true_percent, 0.02));

    const dead_band_percent = random.uniform(0.05, 0.8);
    const loose = createRig(
      { plant: { dead_band_percent, core: { kind: "lags", first_s: 0.6 }, initial_percent: 40 } },
      random.split("dead band"),
    );
    loose.watch(40, 3);
    loose.watch(50, 8);
    const place = deadBandAt(loose.stairs("back", 50, -0.08, 16, 4), toPercent);
    dead.push(Math.abs((place?.dead_band_percent ?? Number.NaN) - dead_band_percent));
  }
  return {
    plants: count,
    tau_median: quantile(tau, 0.5),
    tau_p95: quantile(tau, 0.95),
    line: BANDS.map(([from, to]) => {
      const inside = line.filter(({ share }) => share >= from && share < to).map(({ off }) => off);
      return { from, to, p50: quantile(inside, 0.5), p95: quantile(inside, 0.95) };
    }),
    leak_share_most: quantile(leak, 1),
    leak_within: leak.filter((share) => share <= 1).length / count,
    dead_band_p95: quantile(dead, 0.95),
  };
};

export const figuresLines = (f: FiguresBench): readonly string[] => [
  `Figures of the tests on ${f.plants} SIMULATED plants, gauge noise 0.003 % of span, polls 0.1 s`,
  `  main time constant from a step: error median ${(100 * f.tau_median).toFixed(2)} %, p95 ${(100 * f.tau_p95).toFixed(2)} %`,
  ...f.line.map(
    (b) =>
      `  second time constant, ${b.from} to ${b.to} of the main one: error median ${(100 * b.p50).toFixed(2)} %, p95 ${(100 * b.p95).toFixed(1)} %`,
  ),
  `  leak by decay over 60 s: within 10 % or 0.02 % of span a minute in ${(100 * f.leak_within).toFixed(1)} %, most ${f.leak_share_most.toFixed(2)} of that limit`,
  `  dead band by stairs: error p95 ${f.dead_band_p95.toFixed(3)} % of input span`,
];
