import { describe, expect, it } from "vitest";
import { mean, standardDeviation } from "../../src/analysis/statistics.ts";
import { combineContributions, effectiveDegreesOfFreedom } from "../../src/uncertainty/combine-contributions.ts";
import {
  coverageByT,
  coverageOfRectangleAndNormal,
  coverageOfTwoRectangles,
  DEFAULT_COVERAGE,
  TWO_SIGMA,
} from "../../src/uncertainty/coverage-factor.ts";
import type { Contribution } from "../../src/uncertainty/point-uncertainty.ts";
import { roundToPlace, roundUncertainty } from "../../src/uncertainty/rounding.ts";
import {
  contribution,
  degreesOfFreedomOfDoubt,
  ofCycle,
  ofExpanded,
  ofRectangle,
  ofSpan,
  ofTrapezoid,
  ofTriangle,
} from "../../src/uncertainty/standard-uncertainty.ts";
import { chiSquareQuantile } from "../../src/uncertainty/statistics/chi-square.ts";
import { logGammaHalfStep } from "../../src/uncertainty/statistics/log-gamma.ts";
import { normalCdf, normalQuantile } from "../../src/uncertainty/statistics/normal.ts";
import { studentTQuantile } from "../../src/uncertainty/statistics/student-t.ts";
import { caseOf, inTolerances, publishedCases } from "./published-cases.ts";

const cases = publishedCases("uncertainty-cases");
const tables = publishedCases("quantiles-cases");
const named = (id: string, from = cases) => {
  const c = caseOf(from, id);
  return {
    ...c,
    check: (key: string, got: number, wanted?: number) =>
      expect(inTolerances(c, key, got, wanted), `${id} ${key}: got ${got}`).toBeLessThanOrEqual(1),
  };
};

const term = (u: number, dof = Number.POSITIVE_INFINITY, more: Partial<Contribution> = {}): Contribution => ({
  id: `t${u}`,
  name: "term",
  evaluation: "B",
  distribution: "normal",
  given: "",
  u_input: u,
  unit: "kPa",
  sensitivity: 1,
  u_kPa: u,
  degrees_of_freedom: dof,
  source: "",
  ...more,
});
const combined = (...contributions: Contribution[]) =>
  combineContributions([{ weight: 1, contributions }], DEFAULT_COVERAGE);

describe("inputs (JCGM 100:2008, 4 and F)", () => {
  it("4.4.3: twenty temperatures", () => {
    const { inputs, check } = named("gum-4.4.3-type-a");
    const readings = inputs["readings"] as number[];
    const s = standardDeviation(readings) ?? 0;
    check("mean", mean(readings));
    check("s", s);
    check("u_mean", s / Math.sqrt(readings.length));
    check("dof", readings.length - 1);
  });

  it("4.3.3: a certificate with k = 3", () => {
    const { inputs, check } = named("gum-4.3.3-k3");
    const u = ofExpanded(inputs["U_ug"], inputs["multiple"]);
    check("u_ug", u);
    check("u_rel", (u * 1e-6) / inputs["value_g"]);
    check("variance_g2", (u * 1e-6) ** 2);
  });

  it("4.3.7: rectangle, and a limit of reading and range", () => {
    const one = named("gum-4.3.7-ex1-rect");
    one.check("u", ofRectangle(one.inputs["half_width"]));
    one.check("variance", ofRectangle(one.inputs["half_width"]) ** 2);
    const two = named("gum-4.3.7-ex2-spec");
    const { reading_V, range_V, spec_of_reading, spec_of_range, u_typeA_V } = two.inputs;
    const half = spec_of_reading * reading_V + spec_of_range * range_V;
    const u = combined(term(u_typeA_V), term(ofRectangle(half))).u_kPa;
    two.check("half_width_V", half);
    two.check("u_spec_V", ofRectangle(half));
    two.check("u_c_V", u);
    two.check("u_c_squared_V2", u * u);
    two.check("u_c_rel", u / reading_V);
  });

  it("4.3.9, 4.4.5, 4.4.6, F.2.2, H.1.3.4: other shapes", () => {
    const shapes = named("gum-4.4.5-6-rect-tri");
    const half = (shapes.inputs["upper"] - shapes.inputs["lower"]) / 2;
    shapes.check("u_rectangular", ofRectangle(half));
    shapes.check("u_triangular", ofTriangle(half));
    const trapezoid = named("gum-4.3.9-trapezoid");
    (trapezoid.inputs["beta"] as number[]).forEach((beta, i) => {
      trapezoid.check("u", ofTrapezoid(1, beta), trapezoid.expected["u"][i]);
    });
    const steps = named("gum-F.2.2-resolution-hysteresis");
    steps.check("u_resolution_g", ofSpan(1));
    steps.check("variance_resolution_g2", ofSpan(1) ** 2);
    steps.check("u_hysteresis", ofSpan(steps.inputs["hysteresis_range"]));
    const cyclic = named("gum-H.1-theta");
    const u = combined(
      term(cyclic.inputs["u_mean_degC"]),
      term(ofCycle(cyclic.inputs["arcsine_amplitude_degC"])),
    ).u_kPa;
    cyclic.check("u_cyclic_degC", ofCycle(cyclic.inputs["arcsine_amplitude_degC"]));
    cyclic.check("u_theta_squared", u * u);
    cyclic.check("u_theta_degC", u);
  });

  it("E.4.3: how well s is known, through the exact factor", () => {
    const { inputs, expected, check } = named("gum-E.1-uncertainty-of-s");
    (inputs["n"] as number[]).forEach((n, i) => {
      const c4 = Math.sqrt(2 / (n - 1)) * Math.exp(logGammaHalfStep((n - 1) / 2));
      const percent = (100 * Math.sqrt(1 - c4 * c4)) / c4;
      check("relative_sd_of_s_percent", percent, expected["relative_sd_of_s_percent"][i]);
    });
  });

  it("GUM-6, 8.6.5: seven masses whose spread a one-pass formula loses", () => {
    const { inputs, check } = named("gum6-cancellation-a");
    const s = standardDeviation(inputs["mass_g"]) ?? 0;
    check("s_squared_g2", s * s);
    check("s_ug", s * 1e6);
  });
});

describe("combination and coverage (JCGM 100:2008, 5, G and H)", () => {
  it("5.2.2: ten resistors of one standard add up, of ten standards they do not", () => {
    const { inputs, expected, check } = named("gum-5.2.2-resistors");
    (inputs["correlation"] as number[]).forEach((r, i) => {
      const ten = Array.from({ length: inputs["n"] }, () =>
        term(inputs["u_each_ohm"], Number.POSITIVE_INFINITY, { common: { cause: "standard", correlation: r } }),
      );
      check("u_sum_ohm", combined(...ten).u_kPa, expected["u_sum_ohm"][i]);
    });
  });

  it("G.4.1: Welch and Satterthwaite; truncating 18.9987 gives 18, not 19", () => {
    const { inputs, check } = named("gum-G.4.1-welch");
    const terms = (inputs["relative_u_percent"] as number[]).map((u, i) => term(u, inputs["n"][i] - 1));
    const choice = { ...DEFAULT_COVERAGE, probability: inputs["level"] };
    const result = combineContributions([{ weight: 1, contributions: terms }], choice);
    check("u_c_percent", result.u_kPa);
    check("nu_eff", result.degrees_of_freedom);
    check("t95", result.k);
    check("U95_percent", result.U_kPa);
    const truncated = coverageByT(result.degrees_of_freedom, { ...choice, degrees_of_freedom: "truncated" });
    expect(truncated.text).toContain("18 effective degrees of freedom (truncated");
    expect(truncated.k).toBeCloseTo(studentTQuantile(0.975, 18), 12);
  });

  it("G.4.2: degrees of freedom of a doubtful type B uncertainty", () => {
    const { inputs, expected, check } = named("gum-G.4.2-dof-typeB");
    (inputs["relative_uncertainty_of_u"] as number[]).forEach((r, i) => {
      check("dof", degreesOfFreedomOfDoubt(r), expected["dof"][i]);
    });
  });

  it("H.1: the difference of two gauge blocks, then the whole budget", () => {
    const d = named("gum-H.1-d");
    const i = d.inputs;
    const parts = [
      term(i["s_pooled_nm"] / Math.sqrt(i["n"]), i["dof_pooled"]),
      term(ofExpanded(i["comparator_random_U95_nm"], i["t95_5"]), i["comparator_random_dof"]),
      term(ofExpanded(i["comparator_systematic_3sigma_nm"], 3), degreesOfFreedomOfDoubt(0.25)),
    ];
    d.check("u_mean_nm", parts[0]?.u_kPa ?? 0);
    d.check("u_d1_nm", parts[1]?.u_kPa ?? 0);
    d.check("u_d2_nm", parts[2]?.u_kPa ?? 0);
    d.check("dof_d2", parts[2]?.degrees_of_freedom ?? 0);
    const sum = combined(...parts);
    d.check("u_d_nm", sum.u_kPa);
    d.check("u_d_squared_nm2", sum.u_kPa ** 2);
    d.check("nu_eff_d", sum.degrees_of_freedom);
  });

  it("DKD-R 6-1 (from memory): a constructed pressure budget, every span as a rectangle", () => {
    const { inputs, check } = named("dkd-budget-constructed");
    const spans = ["resolution_r", "zero_deviation_f0", "repeatability_b_prime", "reproducibility_b", "hysteresis_h"];
    const parts = spans.map((name) => ofSpan(inputs[name]));
    ["u_resolution", "u_f0", "u_b_prime", "u_b", "u_h"].forEach((key, i) => {
      check(key, parts[i] ?? 0);
    });
    check("u_standard", ofExpanded(inputs["U_standard_k2"], 2));
    const sum = combined(term(ofExpanded(inputs["U_standard_k2"], 2)), ...parts.map((u) => term(u)));
    check("u_c", sum.u_kPa);
    check("U", sum.U_kPa);
  });
});

describe("coverage factors", () => {
  it("table G.1 of JCGM 100:2008, and a lone rectangle", () => {
    const { inputs, expected, check } = named("gum-G.1-normal-k", tables);
    (inputs["normal_levels_percent"] as number[]).forEach((percent, i) => {
      check("normal_k", normalQuantile(0.5 + percent / 200), expected["normal_k"][i]);
    });
    check("rectangular_level_percent_for_k1", 100 / Math.sqrt(3));
    (inputs["rectangular_levels_percent"] as number[]).forEach((percent, i) => {
      check("rectangular_k", coverageOfRectangleAndNormal(1, 0, percent / 100), expected["rectangular_k"][i]);
    });
    expect(coverageByT(Number.POSITIVE_INFINITY, DEFAULT_COVERAGE).k).toBeCloseTo(2, 12);
    expect(TWO_SIGMA).toBeCloseTo(normalCdf(2) - normalCdf(-2), 15);
  });

  it("table G.2 of JCGM 100:2008: 132 values of Student's t; the odd levels are exactly 1, 2, 3 sigma", () => {
    const { expected, tolerance } = named("gum-G.2-t-table", tables);
    const levels = [2 * normalCdf(1) - 1, 0.9, 0.95, TWO_SIGMA, 0.99, 0.9973002039367398];
    const widths = tolerance["rows"] as unknown as { abs: number; abs_nu100: number };
    for (const { nu, t } of expected["rows"] as { nu: number; t: number[] }[]) {
      levels.forEach((level, i) => {
        const allowed = nu === 100 ? widths.abs_nu100 : widths.abs;
        // 1.005 and the like are printed with one digit more than their neighbours.
        expect(Math.abs(studentTQuantile(0.5 + level / 2, nu) - (t[i] ?? 0))).toBeLessThanOrEqual(allowed * 1.0000001);
      });
    }
  });

  it("e-Handbook 1.3.6.7: t, t* and chi-square (the last from memory)", () => {
    const t = named("eh-t-upper", tables);
    (t.inputs["nu"] as number[]).forEach((nu, row) => {
      (t.inputs["alpha"] as number[]).forEach((alpha, i) => {
        t.check("t", -studentTQuantile(alpha, nu), t.expected["t"][row][i]);
      });
    });
    (t.inputs["alpha"] as number[]).forEach((alpha, i) => {
      t.check("nu_infinity", -studentTQuantile(alpha, Number.POSITIVE_INFINITY), t.expected["nu_infinity"][i]);
    });
    const star = named("eh-t-star", tables);
    const zeta = (1 - 0.95 ** (1 / 3)) / 2;
    (star.inputs["nu"] as number[]).forEach((nu, i) => {
      star.check("t_star", -studentTQuantile(zeta, nu), star.expected["t_star"][i]);
    });
    const chi = named("eh-chi2", tables);
    (chi.inputs["nu"] as number[]).forEach((nu, row) => {
      (chi.inputs["p"] as number[]).forEach((p, i) => {
        chi.check("chi2", chiSquareQuantile(p, nu), chi.expected["chi2"][row][i]);
      });
    });
  });

  it("a rectangle with a normal rest goes from k = 1.65 to k = 1.96 at 95 %", () => {
    const ks = [0, 0.1, 0.3, 1, 3, 100].map((rest) => coverageOfRectangleAndNormal(1, rest, 0.95));
    expect(ks[0]).toBeCloseTo(0.95 * Math.sqrt(3), 10);
    expect(ks.at(-1)).toBeCloseTo(1.95996, 4);
    expect(ks.toSorted((a, b) => a - b)).toEqual(ks);
  });

  it("two rectangles: alone, alike (a triangle), and either side of the flat top", () => {
    expect(coverageOfTwoRectangles(1, 0, 0.95)).toBeCloseTo(0.95 * Math.sqrt(3), 12);
    expect(coverageOfTwoRectangles(1, 1, 0.95)).toBeCloseTo((1 - Math.sqrt(0.05)) * Math.sqrt(6), 12);
    const edge = (2 * 0.5) / 1.5;
    expect(coverageOfTwoRectangles(3, 1, edge - 1e-9)).toBeCloseTo(coverageOfTwoRectangles(3, 1, edge + 1e-9), 7);
  });

  it("no uncertainty at all has infinitely many degrees of freedom", () => {
    expect(effectiveDegreesOfFreedom([])).toBe(Number.POSITIVE_INFINITY);
    expect(contribution({ ...term(0) })).toBeNull();
  });
});

describe("rounding and notation (JCGM 100:2008, 7.2)", () => {
  it("7.2.6", () => {
    const { expected } = named("gum-7.2.6-rounding");
    const u = roundUncertainty(0.027);
    expect([
      `${roundUncertainty(10.47, 2, 0.01).text} mohm`,
      `${roundUncertainty(28.05, 2, 0.01).text} kHz`,
      `${roundToPlace(10.05762, u.place)} ohm`,
    ]).toEqual(expected["results"]);
  });

  it("7.2.2: value and standard uncertainty to one place", () => {
    const { inputs, expected } = named("gum-7.2.2-notation");
    const u = roundUncertainty(inputs["u_g"]);
    const value = roundToPlace(inputs["y_g"], u.place);
    expect(`${value}(${u.text}) g`).toBe(expected["long"]);
    expect(`${value}(${Number(u.text.replace(/^0\.0*/u, ""))}) g`).toBe(expected["short"]);
  });
});
