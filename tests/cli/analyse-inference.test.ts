import { describe, expect, it } from "vitest";
import { define } from "../../src/cli/commands/analyse.ts";
import { EXIT } from "../../src/cli/exit-codes.ts";
import { caseOf, publishedCases } from "../uncertainty/published-cases.ts";
import { runCommand } from "./in-process.ts";
import { writtenFiles } from "./written-file.ts";

/** What a fit, a series and a line in use allow to be said, through the command. Sources stand in the case files. */

const write = writtenFiles();
const published = publishedCases("fit-cases");
const uncertain = publishedCases("uncertainty-cases");

// biome-ignore lint/suspicious/noExplicitAny: figures of many shapes, read by the test that knows them.
type Answer = any;
const analyse = async (data: object, ...args: readonly string[]): Promise<Answer> => {
  const path = write("data.json", JSON.stringify({ format: "stillpoint-data 1", data }));
  const { code, out, talk } = await runCommand(define, [path, ...args, "--json"]);
  expect([code, talk]).toEqual([EXIT.success, ""]);
  return JSON.parse(out) as Answer;
};
const near = (got: number, wanted: number, tolerance: number): void =>
  expect(Math.abs(got - wanted), `${got} is not ${wanted}`).toBeLessThanOrEqual(tolerance);

describe("a fit read at any x", () => {
  it("the line of a thermometer's corrections (JCGM 100:2008, H.3)", async () => {
    const { inputs, expected } = caseOf(uncertain, "gum-H.3-fit");
    const { fit, inference } = await analyse(
      { x: inputs["t_degC"], y: inputs["b_degC"] },
      "--x-origin",
      "20",
      "--at",
      "10",
    );
    near(fit.terms[0].estimate, expected["intercept"], 5e-5);
    near(fit.correlation[0][1], expected["correlation"], 5e-4);
    const at30 = caseOf(uncertain, "gum-H.3-prediction").expected;
    const [line] = inference.predictions;
    near(line.y, at30["b"], 5e-5);
    near(line.u, at30["u_c"], 5e-5);
    near(inference.x_of_smallest_u + 20, 24.0085, 5e-4);
    expect(line.u_next_value).toBeCloseTo(Math.hypot(line.u, fit.residual_sd), 12);
  });

  it("a drift with the known uncertainty of its results, and with what the residuals show (JCGM GUM-6:2020, 10.6.4)", async () => {
    const { inputs, expected } = caseOf(published, "gum6-10.6-drift");
    const { inference } = await analyse(
      { x: inputs["t_days"], y: inputs["y_1e-6"] },
      ...["--u-y", String(inputs["u_y_1e-6"]), "--at", String(inputs["t_predict_days"])],
    );
    const [residuals, known] = inference.predictions;
    expect([residuals.by, known.by]).toEqual(["residuals", "stated u of y"]);
    near(known.y, expected["y_predicted"], 6e-5);
    near(known.u, expected["u_predicted"], 5e-5);
    near(known.U, expected["U95_predicted"], 1e-4);
    near(residuals.U_next_value, 0.0536, 5e-5);
    expect(inference.degrees_of_freedom).toBe(18);
  });

  it("a polynomial, and a line that cannot be told from level", async () => {
    const x = [0, 1, 2, 3, 4, 5];
    const { inference } = await analyse({ x, y: x.map((v) => 1 + v * v) }, "--degree", "2", "--at", "10 -1");
    expect(inference.predictions.map((p: { readonly y: number }) => p.y)).toEqual([
      expect.closeTo(101, 9),
      expect.closeTo(2, 9),
    ]);
    const level = await analyse({ x, y: [1, -1, 1, -1, 1, -1] });
    expect(level.inference.terms[1].differs_from_zero).toBe(false);
  });
});

describe("lack of fit (NIST/SEMATECH e-Handbook, 4.6.1.5)", () => {
  it("a load cell whose R squared is nearly 1 is no straight line all the same", async () => {
    const { inputs, expected } = caseOf(published, "eh-4.6.1.5-load-cell-line");
    const { fit, inference } = await analyse({ x: inputs["load"], y: inputs["deflection"] });
    expect(fit.r_squared).toBeGreaterThan(0.9999);
    near(inference.lack_of_fit.F, expected["lack_of_fit_F"], 0.001);
    near(inference.lack_of_fit.F_critical, expected["F_crit_0_05_18_20"], 0.005);
    expect(inference.lack_of_fit.rejected).toBe(true);
  });

  it("is not told without repeats", async () => {
    const { fit } = await analyse({ x: [1, 2, 3, 4], y: [1.1, 2, 3.1, 4] });
    expect(fit.lack_of_fit).toBeNull();
  });
});

describe("a line in use (NIST/SEMATECH e-Handbook, 2.3.7.1)", () => {
  it("finds the day that is out", async () => {
    const { inputs, expected } = caseOf(published, "eh-2.3.7.1-control");
    const group = inputs["x_known"].map((_: number, i: number) => `day ${Math.floor(i / 3) + 1}`);
    const { control } = await analyse(
      { x: inputs["x_known"], y: inputs["y_measured"], group },
      ...[
        "--line",
        `intercept ${inputs["intercept"]}, slope ${inputs["slope"]}, sd ${inputs["s"]}, dof ${inputs["dof"]}`,
      ],
    );
    near(control.t_star, expected["t_star"], 1e-3);
    near(control.limit, expected["limit"], 1e-4);
    for (const [i, w] of expected["W"].entries()) near(control.readings[i].off, w, 1e-4);
    expect(control.outside).toEqual(["day 4"]);
    expect(control.readings.filter((r: { readonly outside: boolean }) => r.outside)).toHaveLength(3);
  });
});

describe("a series that remembers (JCGM GUM-6:2020, 11.7.3)", () => {
  const bath = caseOf(published, "gum6-bath");
  const y = (bath.inputs["readings_minus_50"] as readonly number[]).map((v) => v + 50);
  const x = y.map((_, i) => i);

  it("its mean is worth three times less than its scatter says", async () => {
    const { autoregression: ar, summary } = await analyse({ y }, "--autoregression", "2");
    for (const [i, phi] of bath.expected["ar2_phi"].entries()) near(ar.phi[i], phi, 0.005);
    for (const u of ar.u_phi) near(u, bath.expected["ar2_u_phi"], 0.005);
    near(ar.sigma, bath.expected["ar2_sigma"], 5e-4);
    near(ar.level, bath.expected["ar2_tau"], 5e-4);
    near(ar.u_level, bath.expected["u_mean_with_autocorrelation"], 5e-4);
    near(summary.standard_deviation_of_mean, bath.expected["naive_u_mean"], 5e-5);
  });

  it("a slope test calls a part of it drifting", async () => {
    for (const { from, to, slope_per_min, t } of caseOf(published, "bath-slope-t").expected["results"]) {
      const { fit, inference } = await analyse({ x, y }, "--rows", `${from} to ${to}`);
      near(fit.terms[1].estimate, slope_per_min, 1e-5 * Math.abs(slope_per_min));
      near(fit.terms[1].t, t, 1e-5 * Math.abs(t));
      expect(inference.terms[1].differs_from_zero).toBe(from === 41);
    }
  });

  it("steadiness ratios (Cao and Rhinehart, 1995; figures computed from the recursion)", async () => {
    const { expected } = caseOf(published, "rstat-bath");
    const { steady } = await analyse({ y }, "--steady-ratio", "0.2 0.1 0.1");
    for (const [at, ratio] of Object.entries(expected["R_at_sample"]))
      near(steady.ratios[Number(at) - 1], Number(ratio), 2e-6);
    near(steady.largest, expected["max_R"], 2e-6);
    expect(steady.largest_at).toBe(expected["max_at_sample"]);
    expect(steady.ratios[0]).toBeNull();
  });

  it("a quiet digital signal has no ratio", async () => {
    const { steady } = await analyse({ y: [5, 5, 5, 5] }, "--steady-ratio", "0.2 0.1 0.1");
    expect(steady).toMatchObject({ ratios: [null, null, null, null], largest: null, largest_at: null });
  });

  it("an independent series has no memory", async () => {
    const white = Array.from({ length: 400 }, (_, i) => (Math.sin(i * i * 12.9898) * 43758.5453) % 1);
    const { autoregression: ar } = await analyse({ y: white }, "--autoregression", "1");
    expect(Math.abs(ar.phi[0])).toBeLessThan(3 * ar.u_phi[0]);
    near(ar.u_phi[0], 1 / Math.sqrt(400), 0.005);
  });
});

describe("levels and lines", () => {
  it("rising, falling, their mean and their difference at every x", async () => {
    const answer = await analyse({
      x: [0, 1, 0, 1],
      y: [1, 2, 1.5, 2.1],
      direction: ["rising", "rising", "falling", "falling"],
    });
    expect(answer.static.levels).toEqual([
      { x: 0, rising: 1, falling: 1.5, mean: 1.25, falling_minus_rising: 0.5 },
      { x: 1, rising: 2, falling: 2.1, mean: expect.closeTo(2.05, 12), falling_minus_rising: expect.closeTo(0.1, 12) },
    ]);
  });

  it("a load cell through zero, in units of the load (curvefit library, after Wheeler and Ganji)", async () => {
    const load = [0, 100, 200, 300, 400, 500, 400, 300, 200, 100, 0];
    const out = [0, 0.55983, 1.11975, 1.67982, 2.24005, 2.80039, 2.24023, 1.68021, 1.12026, 0.56021, 6e-5];
    const [all] = (await analyse({ x: load, y: out })).lines;
    near(all.lines.through_zero.in_x, 0.0518, 5e-5);
    expect(all.lines.through_zero.deviations).toHaveLength(11);
    expect(Math.abs(all.lines.through_zero.worst_deviation)).toBeCloseTo(all.lines.through_zero.max_deviation, 12);
    const direction = load.map((_, i) => (i < 6 ? "rising" : "falling"));
    const gained = await analyse({ x: load, y: out, direction }, "--multiply-y", "178.5465596");
    const hysteresis = gained.static.figures.find((f: { readonly id: string }) => f.id === "hysteresis-plus-dead-band");
    near(hysteresis.in_y, 0.091063467, 1e-4);
    expect(hysteresis.at_x).toBe(200);
  });

  it("how far a standard deviation may be off (JCGM 100:2008, table E.1)", async () => {
    const { inputs, expected } = caseOf(uncertain, "gum-E.1-uncertainty-of-s");
    for (const [i, n] of inputs["n"].entries()) {
      const { summary } = await analyse({ y: Array.from({ length: n }, (_, k) => k) });
      near(100 * summary.relative_sd_of_sd, expected["relative_sd_of_s_percent"][i], 0.5);
    }
  });
});

describe("movement", () => {
  // Open university course notebooks, mechanical engineering metrology and measurements (coarsely sampled on purpose).
  it("a ring that dies out", async () => {
    const peaks = [
      [0.0057674, 0.52586962],
      [0.0173022, 0.14414951],
      [0.02979824, 0.03919356],
      [0.04133304, 0.01110418],
    ];
    const answer = await analyse({ x: peaks.map((p) => p[0]), y: peaks.map((p) => p[1]) }, "--log-decrement");
    near(answer.dynamics.log_decrement.delta, 1.286, 5e-4);
    near(answer.dynamics.log_decrement.zeta, 0.201, 5e-4);
    near(answer.dynamics.log_decrement.omega_n, 540.979, 5e-3);
  });

  it("a step of the first order: 63.2 % after one time constant, 2.1972 of them from 10 to 90 %", async () => {
    const x = Array.from({ length: 4001 }, (_, i) => i / 400);
    const answer = await analyse({ x, y: x.map((t) => 1 - Math.exp(-t)) }, "--step", "0 to 1 at 0");
    near(answer.dynamics.step.t63_s, 1, 1e-5);
    near(answer.dynamics.step.rise_s, 2.1972245773362196, 1e-5);
    near(answer.dynamics.step.settling_s, 3.912023005428146, 1e-4);
    expect(answer.dynamics.step.overshoot_share).toBe(0);
  });

  it("a leak (40 CFR 1065.644: 2 l from 25.3 to 50.6 kPa in 70 s)", async () => {
    const answer = await analyse({ x: [0, 70], y: [25300, 50600] }, "--leak", "2 l at 293.15 K");
    near(answer.dynamics.leak.mol_per_s, 0.00029657046846399363, 1e-12);
  });
});

it.each([
  [["--log-decrement"], "no peaks that die out"],
  [["--step", "0 to 0 at 1"], "is no step"],
  [["--leak", "2 gallons at 20 degC"], "is no volume at a temperature"],
  [["--at", "x"], "is not a list of numbers"],
  [["--rows", "5 to 2"], "are no rows"],
  [["--rows", "7 to 9"], "the rows asked for are beyond them"],
  [["--steady-ratio", "0.2 0.1"], "are not three weights"],
  [["--line", "slope 1"], "does not say all of the line"],
  [["--line", "intercept 0, slope 0, sd 1, dof 3"], "is not 0"],
  [["--autoregression", "2"], "give no autoregression of order 2"],
  [["--level", "2"], "is not a coverage probability"],
] as const)("refuses %j in plain words", async (args, told) => {
  const path = write("data.csv", "x,y\n1,1\n2,2.1\n3,2.9\n");
  const { code, talk } = await runCommand(define, [path, ...args]);
  expect([code, talk.includes(told)], talk).toEqual([EXIT.wrongUse, true]);
});
