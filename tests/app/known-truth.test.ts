import { describe, expect, it } from "vitest";
import { trueErrors, trueHysteresis } from "../../drivers/simulated/physics/true-errors.ts";
import { figure } from "../../src/analysis/analysis.ts";
import type { StageResult } from "../../src/certificate/certificate-input.ts";
import type { CapturedPoint } from "../../src/readings/run-record.ts";
import { stageOf } from "../../src/readings/run-record.ts";
import type { Stage } from "../../src/vocabulary/reading.ts";
import { must, type PracticeRun, type PracticeWishes, practiceJob, runWithModel } from "./practice-job.ts";

/**
 * The whole job against a unit whose errors are known: a simulated converter without noise, creep or leak, whose true
 * errors follow from its settings (`drivers/simulated/physics/true-errors.ts`: zero, span, bow, screws, mechanism, after
 * an endless wait). What the job finds may differ by what the gauge cannot show and by what the run says is still to come.
 */
const QUIET: PracticeWishes = { gauge_noise: 0, withoutCurrentMeter: true };
const STILL = { creep: 0, leak: 0, hysteresis: 0, dead_band: 0 };
/** As the gauge of the simulated bench resolves. */
const RESOLUTION_kPa = 0.001;
/** Twice the standard uncertainty that the run states for what is still to come: about 95 %. */
const SETTLING_K = 2;
/** Most that may still be to come, % of span: the limit the run was given. */
const STILL_TO_COME = 0.05;

const allowance_kPa = (point: CapturedPoint): number => RESOLUTION_kPa + SETTLING_K * point.u_settling_kPa;

interface Seen {
  readonly result: StageResult;
  readonly points: readonly CapturedPoint[];
}

const seen = ({ outcome }: PracticeRun, stage: Stage): Seen => {
  const result = stage === "as-found" ? outcome.asFound : outcome.asLeft;
  const points = stageOf(outcome.record, stage)?.points;
  if (result === null || points === undefined) throw new Error(`no stage ${stage}`);
  return { result: must(result), points };
};

/** Each error within its allowance of the truth; the allowance itself within what the run was allowed. */
const expectTruth = ({ result, points }: Seen, truth: readonly number[]): void => {
  const { span_kPa } = result.analysis;
  expect(result.analysis.points).toHaveLength(truth.length);
  result.analysis.points.forEach((point, i) => {
    const captured = points[i];
    if (captured === undefined) throw new Error(`point ${i} was not captured`);
    const allowed_percent = (100 * allowance_kPa(captured)) / span_kPa;
    expect(allowed_percent).toBeLessThan(STILL_TO_COME);
    const off_percent = Math.abs(point.error_percent_span - (truth[i] ?? Number.NaN));
    expect(off_percent, `${point.nominal_percent} % ${point.direction}`).toBeLessThanOrEqual(allowed_percent);
  });
};

const nominals = ({ result }: Seen): readonly number[] => result.analysis.points.map((p) => p.nominal_percent);

const figureOf = ({ result }: Seen, id: Parameters<typeof figure>[1]): number => {
  const found = figure(result.analysis, id);
  if (found === undefined) throw new Error(`no figure ${id}`);
  return found.value;
};

const units: readonly (readonly [title: string, unit: string])[] = [
  ["3 to 15 psi", "ip-3-15-psi"],
  ["20 to 100 kPa", "ip-20-100-kpa"],
  ["0 to 75 psi", "ip-0-75-psi"],
  ["reverse action", "ip-reverse"],
  ["the lower half of a split range", "ip-split-low"],
];

describe("the errors that the job finds are those that the unit has", () => {
  it.each(units)("%s", async (_title, unit) => {
    const run = await runWithModel(practiceJob({ ...QUIET, unit, converter: STILL }));
    const { plantSettings, plant } = run.model;
    const asFound = seen(run, "as-found");
    expectTruth(asFound, trueErrors(plantSettings, nominals(asFound)));
    expect(asFound.result.verdict.word).toBe("fail");
    const turns = plant.screws();
    expect(Math.abs(turns.zero) + Math.abs(turns.span)).toBeGreaterThan(0.1);
    const asLeft = seen(run, "as-left");
    expectTruth(asLeft, trueErrors(plantSettings, nominals(asLeft), { turns }));
    expect(asLeft.result.verdict.word).toBe("pass");
  });
});

describe("the hysteresis that the job finds is that of the mechanism", () => {
  it.each([
    ["hysteresis", { hysteresis: 0.3 }],
    ["dead band", { dead_band: 0.2 }],
    ["both", { hysteresis: 0.2, dead_band: 0.1 }],
  ])("%s", async (_title, mechanism) => {
    const run = await runWithModel(practiceJob({ ...QUIET, converter: { ...STILL, ...mechanism } }));
    const { plantSettings, plant } = run.model;
    for (const [stage, turns] of [
      ["as-found", { zero: 0, span: 0 }],
      ["as-left", plant.screws()],
    ] as const) {
      const found = seen(run, stage);
      const truth = trueHysteresis(plantSettings, [0, 25, 50, 75, 100], { turns });
      expect(truth).toBeGreaterThan(0.15);
      // A difference of two readings, so twice the allowance of the least certain one.
      const allowed = (200 * Math.max(...found.points.map(allowance_kPa))) / found.result.analysis.span_kPa;
      expect(allowed).toBeLessThan(2 * STILL_TO_COME);
      expect(Math.abs(figureOf(found, "hysteresis-plus-dead-band") - truth)).toBeLessThanOrEqual(allowed);
    }
  });
});

describe("a lower end at zero pressure", () => {
  it("hides a negative error: the reading is marked, and lift-off tells and judges what it hides", async () => {
    const low = { ...STILL, zero_error: -0.5, span_error: 0, bow: 0 };
    // Long enough at each point to reach the stop: on its way there an output may still look as if it were free.
    const settling = {
      rule: "detector",
      limit_percent: 0.05,
      gamma: 0.5,
      minimum_dwell_s: 60,
      timeout_s: 180,
    } as const;
    const job = practiceJob({ ...QUIET, unit: "ip-0-75-psi", converter: low }, { adjust: "never", plan: { settling } });
    const run = await runWithModel(job);
    const asFound = seen(run, "as-found");
    const ends = asFound.result.analysis.points.filter((p) => p.nominal_percent === 0);
    expect(ends.map((p) => p.clipped)).toEqual(["at-zero", "at-zero"]);
    // Atmosphere holds the output at 0 kPa, where the straight line would be at -0.5 % of span.
    for (const end of asFound.points.filter((p) => p.nominal_percent === 0)) {
      expect(Math.abs(end.output_kPa)).toBeLessThanOrEqual(allowance_kPa(end));
    }
    const { verdict, analysis } = asFound.result;
    // Half a per cent low, of a tolerance of one: told by lift-off, within 0.05 % of the span.
    for (const judged of verdict.points.filter((p) => ends.some((end) => end.ordinal === p.ordinal))) {
      expect((100 * judged.error_kPa) / analysis.span_kPa).toBeCloseTo(-0.5, 1);
      expect(judged.word).toBe("pass");
    }
    expect(Math.abs(figureOf(asFound, "zero-error-lift-off") + 0.5)).toBeLessThan(0.05);
    expect(analysis.remarks.join(" ")).toMatch(/told by lift-off/u);
    const others = analysis.points.filter((p) => p.nominal_percent > 0);
    for (const point of others) expect(point.error_percent_span).toBeCloseTo(-0.5, 1);
  });
});
