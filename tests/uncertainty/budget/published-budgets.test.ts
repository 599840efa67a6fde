import { describe, expect, it } from "vitest";
import { leastSquaresLine } from "../../../src/analysis/least-squares.ts";
import { mean } from "../../../src/analysis/statistics.ts";
import { endGauge, fittedCorrection, impedance } from "../../../src/app/self-test/models.ts";
import { propagateFirstOrder } from "../../../src/uncertainty/budget/first-order.ts";
import { caseOf, inTolerances, publishedCases } from "../published-cases.ts";
import { published } from "./budget-fixtures.ts";

const cases = publishedCases("uncertainty-cases");
const named = (id: string) => {
  const c = caseOf(cases, id);
  return {
    ...c,
    check: (key: string, got: number, wanted?: number) =>
      expect(inTolerances(c, key, got, wanted), `${id} ${key}: got ${got}`).toBeLessThanOrEqual(1),
  };
};

describe("JCGM 100:2008, annex H", () => {
  it("H.1: the whole gauge block budget, in nm", () => {
    const { inputs: i, check } = named("gum-H.1-full");
    const model = published(endGauge(i));
    const [l] = propagateFirstOrder(model).outputs;
    if (l === undefined) throw new Error("no output");
    const part = (name: string) => Math.abs(l.lines.find((x) => x.input === name)?.contribution ?? Number.NaN);
    check("l_mm", l.y * 1e-6);
    check("contrib_lS_nm", part("lS"));
    check("contrib_d_nm", part("d"));
    check("contrib_alphaS_nm", part("alphaS"));
    check("contrib_theta_nm", part("theta"));
    check("contrib_dalpha_nm", part("dalpha"));
    check("contrib_dtheta_nm", part("dtheta"));
    check("u_c_squared_nm2", l.u ** 2);
    check("u_c_nm", l.u);
    check("nu_eff", l.degrees_of_freedom ?? 0);
    check("nu_eff_truncated", Math.floor(l.degrees_of_freedom ?? 0));
    check("t99", l.k);
    check("U99_nm", l.U);
    check("u_rel", l.u / l.y);
    check("U_rel", l.U / l.y);
  });

  it("H.2: resistance and reactance from five simultaneous sets, with the correlation of the outputs", () => {
    const { inputs: i, check } = named("gum-H.2-approach1");
    const model = published(impedance({ V: i["V"], I_mA: i["I_mA"], phi_rad: i["phi_rad"] }));
    const [V, I, phi] = model.inputs;
    check("mean_V", V?.value ?? 0);
    check("mean_I_mA", (I?.value ?? 0) * 1e3);
    check("mean_phi", phi?.value ?? 0);
    check("u_V", V?.u ?? 0);
    check("u_I_mA", (I?.u ?? 0) * 1e3);
    check("u_phi", phi?.u ?? 0);
    check("r_VI", model.correlation[0]?.[1] ?? 0);
    check("r_Vphi", model.correlation[0]?.[2] ?? 0);
    check("r_Iphi", model.correlation[1]?.[2] ?? 0);
    const { outputs, correlation } = propagateFirstOrder(model);
    ["R", "X", "Z"].forEach((name, at) => {
      check(name, outputs[at]?.y ?? 0);
      check(`u_${name}`, outputs[at]?.u ?? 0);
    });
    check("r_RX", correlation[0]?.[1] ?? 0);
    check("r_RZ", correlation[0]?.[2] ?? 0);
    check("r_XZ", correlation[1]?.[2] ?? 0);
  });

  it("H.3: a thermometer's line, and its correction at 30 degC through the correlation of its two ends", () => {
    const { inputs, expected, check } = named("gum-H.3-fit");
    const x = (inputs["t_degC"] as number[]).map((t) => t - inputs["t0_degC"]);
    const line = leastSquaresLine(x, inputs["b_degC"]);
    const [u0 = 0, u1 = 0] = line?.fit.standard_error ?? [];
    // Correlation of intercept and slope of any straight line: -mean(x) / sqrt(mean(x^2)).
    const r = -mean(x) / Math.sqrt(mean(x.map((v) => v * v)));
    check("intercept", line?.intercept ?? 0);
    check("slope", line?.slope ?? 0);
    check("u_intercept", u0);
    check("u_slope", u1);
    check("correlation", r);
    check("s", line?.fit.residual_sd ?? 0);
    check("dof", line?.fit.degrees_of_freedom ?? 0);
    line?.fit.residuals.forEach((residual, i) => {
      check("residual", residual, expected["residual"][i]);
      check("predicted", inputs["b_degC"][i] - residual, expected["predicted"][i]);
    });
    const at30 = named("gum-H.3-prediction");
    const correction = (t: number) =>
      propagateFirstOrder(published(fittedCorrection(line?.intercept ?? 0, u0, line?.slope ?? 0, u1, r, t))).outputs[0];
    const b = correction(at30.inputs["t_degC"]);
    at30.check("b", b?.y ?? 0);
    at30.check("u_c_squared", (b?.u ?? 0) ** 2);
    at30.check("u_c", b?.u ?? 0);
    at30.check("dof", line?.fit.degrees_of_freedom ?? 0);
    at30.check("t_of_minimum_u", 20 - (r * u0) / u1);
    const least = correction(at30.expected["t_of_minimum_u"])?.u ?? 0;
    for (const t of [23, 25]) expect(correction(t)?.u).toBeGreaterThan(least);
  });
});
