import {
  firstOrderRise,
  firstOrderSettling,
  firstOrderShare,
  firstOrderTimeTo,
  logDecrement,
  overshootShare,
  settlingByEnvelope,
  settlingRuleOfThumb,
  timeToPeak,
} from "../../analysis/dynamics.ts";
import { molarLeak_mol_per_s } from "../../analysis/leak.ts";
import { relativeSdOfSd } from "../../analysis/statistics.ts";
import {
  dewPointOfClass,
  gaugeClass,
  instrumentAirDewPoint,
  limitPercentAt,
  oilOfClass,
} from "../../decision/instrument-classes.ts";
import { effectiveDegreesOfFreedom } from "../../uncertainty/combine-contributions.ts";
import {
  degreesOfFreedomOfDoubt,
  ofCycle,
  ofExpanded,
  ofRectangle,
  ofSpan,
} from "../../uncertainty/standard-uncertainty.ts";
import { plainQuantity } from "../convert/plain-quantity.ts";
import { roundedRows, roundedUncertainty } from "../convert/rounded-rows.ts";
import { allowed, type Case, casesIn, type Tolerances } from "./case-files.ts";
import type { CaseResult } from "./check.ts";

type Numbers = Readonly<Record<string, number>>;
type Lists = Readonly<Record<string, readonly number[]>>;
type Absolute = Readonly<Record<string, number>>;

const check = ({ record, expected, tolerance }: Case<unknown, Numbers, Tolerances>, key: string, got: number): void => {
  const wanted = expected[key] ?? Number.NaN;
  record.near(key, got, wanted, allowed(tolerance, key, wanted));
};

/** Parts of budgets, JCGM 100:2008, and the characteristic figures of DKD-R 6-1. */
const budgetParts = (): readonly CaseResult[] => {
  const caseOf = casesIn("uncertainty-cases", "uncertainty");
  const spec = caseOf<Numbers, Numbers>("gum-4.3.7-ex2-spec");
  const { reading_V = 0, range_V = 0, spec_of_reading = 0, spec_of_range = 0, u_typeA_V = 0 } = spec.inputs;
  const half = spec_of_reading * reading_V + spec_of_range * range_V;
  const u_c = Math.hypot(u_typeA_V, ofRectangle(half));
  check(spec, "half_width_V", half);
  check(spec, "u_spec_V", ofRectangle(half));
  check(spec, "u_c_V", u_c);
  check(spec, "u_c_squared_V2", u_c ** 2);
  check(spec, "u_c_rel", u_c / reading_V);

  const d = caseOf<Numbers, Numbers>("gum-H.1-d");
  const { s_pooled_nm = 0, n = 1, dof_pooled = 0, comparator_random_U95_nm = 0, comparator_random_dof = 0 } = d.inputs;
  const parts = [
    { u: s_pooled_nm / Math.sqrt(n), degrees_of_freedom: dof_pooled },
    { u: comparator_random_U95_nm / (d.inputs["t95_5"] ?? 1), degrees_of_freedom: comparator_random_dof },
    {
      u: ofExpanded(d.inputs["comparator_systematic_3sigma_nm"] ?? 0, 3),
      degrees_of_freedom: degreesOfFreedomOfDoubt(d.inputs["comparator_systematic_relative_uncertainty_of_u"] ?? 1),
    },
  ];
  for (const [i, key] of ["u_mean_nm", "u_d1_nm", "u_d2_nm"].entries()) check(d, key, parts[i]?.u ?? Number.NaN);
  const total = Math.hypot(...parts.map((p) => p.u));
  check(d, "u_d_nm", total);
  check(d, "u_d_squared_nm2", total ** 2);
  check(d, "dof_d2", parts[2]?.degrees_of_freedom ?? Number.NaN);
  check(d, "nu_eff_d", effectiveDegreesOfFreedom(parts.map((p) => ({ ...p, variance: p.u ** 2 }))));

  const theta = caseOf<Numbers, Numbers>("gum-H.1-theta");
  const cyclic = ofCycle(theta.inputs["arcsine_amplitude_degC"] ?? 0);
  const both = Math.hypot(cyclic, theta.inputs["u_mean_degC"] ?? 0);
  check(theta, "u_cyclic_degC", cyclic);
  check(theta, "u_theta_squared", both ** 2);
  check(theta, "u_theta_degC", both);

  const ofS = caseOf<Lists, Lists>("gum-E.1-uncertainty-of-s");
  ofS.record.nearAll(
    "relative standard deviation of s, %,",
    (ofS.inputs["n"] ?? []).map((count) => 100 * (relativeSdOfSd(count) ?? Number.NaN)),
    ofS.expected["relative_sd_of_s_percent"] ?? [],
    allowed(ofS.tolerance, "relative_sd_of_s_percent", 1),
  );

  const dkd = caseOf<Numbers, Numbers>("dkd-budget-constructed");
  const spans = [
    ["u_resolution", "resolution_r"],
    ["u_f0", "zero_deviation_f0"],
    ["u_b_prime", "repeatability_b_prime"],
    ["u_b", "reproducibility_b"],
    ["u_h", "hysteresis_h"],
  ] as const;
  const k = dkd.inputs["k"] ?? 2;
  const standard = ofExpanded(dkd.inputs["U_standard_k2"] ?? 0, 2);
  check(dkd, "u_standard", standard);
  for (const [key, name] of spans) check(dkd, key, ofSpan(dkd.inputs[name] ?? 0));
  const combined = Math.hypot(standard, ...spans.map(([, name]) => ofSpan(dkd.inputs[name] ?? 0)));
  check(dkd, "u_c", combined);
  check(dkd, "U", k * combined);
  return [spec, d, theta, ofS, dkd].map((c) => c.record.result());
};

const rowText = (rows: ReturnType<typeof roundedRows>, name: string): string =>
  rows.ok ? String(rows.value.find((r) => r.name === name)?.value ?? "") : rows.fault;

/** Values and uncertainties as they are written down, JCGM 100:2008, 7.2. */
const rounding = (): readonly CaseResult[] => {
  const caseOf = casesIn("uncertainty-cases", "rounding");
  const places = caseOf<unknown, { readonly results: readonly string[] }>("gum-7.2.6-rounding");
  const [up = "", plain = "", value = ""] = places.expected.results;
  places.record.same(
    "10.47 mohm, upwards",
    `${rowText(roundedUncertainty("10.47 mohm", 2, true), "uncertainty")} mohm`,
    up,
  );
  places.record.same("28.05 kHz", `${rowText(roundedUncertainty("28.05 kHz", 2, false), "uncertainty")} kHz`, plain);
  places.record.same(
    "10.05762 ohm",
    `${rowText(roundedRows("10.05762 ohm", "27 mohm", 2, false), "value")} ohm`,
    value,
  );

  const forms = caseOf<unknown, Readonly<Record<"plain" | "short" | "long" | "plus_minus", string>>>(
    "gum-7.2.2-notation",
  );
  const rows = roundedRows("100.02147 g", "0.35 mg", 2, false);
  forms.record.same("in words", rowText(rows, "in words"), forms.expected.plain);
  forms.record.same("short", rowText(rows, "short"), forms.expected.short);
  forms.record.same("long", rowText(rows, "long"), forms.expected.long);
  const expanded = rowText(rows, "plus-minus, for an expanded uncertainty");
  forms.record.same("plus-minus", expanded, forms.expected.plus_minus);
  return [places, forms].map((c) => c.record.result());
};

/** Steps, rings and leaks. */
const dynamics = (): readonly CaseResult[] => {
  const caseOf = casesIn("analysis-cases", "dynamics");
  const table = caseOf<Lists, Lists & Readonly<Record<"rise_10_90_over_tau" | "t90_over_tau", number>>, Absolute>(
    "first-order-table",
  );
  const abs = table.tolerance["abs"] ?? Number.NaN;
  const shares = (table.inputs["t_over_tau"] ?? []).map((t) => firstOrderShare(t, 1));
  table.record.nearAll("share of a step", shares, table.expected["fraction"] ?? [], abs);
  table.record.near("rise from 10 to 90 %", firstOrderRise(1), table.expected.rise_10_90_over_tau, abs);
  table.record.near("time to 90 %", firstOrderTimeTo(0.9, 1), table.expected.t90_over_tau, abs);

  const settle = caseOf<Lists, Lists, Absolute>("first-order-settling-multipliers");
  settle.record.nearAll(
    "settling time",
    (settle.inputs["tolerance_fraction"] ?? []).map((p) => firstOrderSettling(p, 1)),
    settle.expected["t_over_tau"] ?? [],
    settle.tolerance["abs"] ?? Number.NaN,
  );

  const second = caseOf<Readonly<Record<"zeta" | "omega_n", number>>, Numbers, Absolute>("second-order-zeta0.5-wn10");
  const figures = {
    overshoot_percent: 100 * overshootShare(second.inputs.zeta),
    time_to_peak_s: timeToPeak(second.inputs),
    settling_2pct_approx_s: settlingRuleOfThumb(second.inputs),
    settling_2pct_envelope_s: settlingByEnvelope(second.inputs, 0.02),
  };
  for (const [key, got] of Object.entries(figures)) {
    second.record.near(key, got, second.expected[key], second.tolerance[key] ?? Number.NaN);
  }

  const ring = caseOf<
    { readonly peaks: readonly { readonly t: number; readonly overshoot: number }[] },
    Numbers,
    Absolute
  >("log-decrement-from-step-peaks");
  const found = logDecrement(ring.inputs.peaks.map(({ t, overshoot }) => ({ at_s: t, overshoot })));
  for (const [key, got] of [
    ["period", found?.period_s],
    ["delta", found?.delta],
    ["zeta", found?.zeta],
    ["omega_n", found?.omega_n],
  ] as const) {
    ring.record.near(key, got, ring.expected[key], ring.tolerance[key] ?? Number.NaN);
  }

  const leak = caseOf<Numbers, Numbers, Absolute>("cfr-leak-rate-molar");
  const { V_m3 = 0, p1_Pa = 0, p2_Pa = 0, T1_K = 0, T2_K = 0, dt_s = 1 } = leak.inputs;
  const before = { absolute_Pa: p1_Pa, temperature_K: T1_K };
  const rate = molarLeak_mol_per_s(V_m3, before, { absolute_Pa: p2_Pa, temperature_K: T2_K }, dt_s);
  const key = "leak_mol_per_s";
  leak.record.near(key, rate, leak.expected[key], leak.tolerance[key] ?? Number.NaN);
  return [table, settle, second, ring, leak].map((c) => c.record.result());
};

/** Classes of gauges and of air, and a resistor in the loop. */
const classes = (): readonly CaseResult[] => {
  const caseOf = casesIn("class-cases", "classes");
  const service = caseOf<Lists, Lists>("eichordnung-inservice-limits");
  const found = (service.inputs["class"] ?? []).map((c) => gaugeClass(String(c)));
  const verified = found.map((c) => (c === null ? Number.NaN : limitPercentAt(c, 50)));
  service.record.nearAll("greatest error", verified, service.expected["verification_limit_percent"] ?? [], 0);
  const wider = found.map((c) => c?.in_service_percent ?? Number.NaN);
  service.record.nearAll("greatest error in service", wider, service.expected["in_service_limit_percent"] ?? [], 0);

  const grades = caseOf<{ readonly grades: readonly string[] }, Lists>("asme-b40-grades");
  for (const [part, at] of [
    ["lower_quarter", 10],
    ["middle_half", 50],
    ["upper_quarter", 90],
  ] as const) {
    const limits = grades.inputs.grades.map((name) => {
      const grade = gaugeClass(name);
      return grade === null ? Number.NaN : limitPercentAt(grade, at);
    });
    grades.record.nearAll(part, limits, grades.expected[`percent_of_span_${part}`] ?? [], 0);
  }

  const air = caseOf<Lists, Readonly<Record<string, readonly (number | null)[]>>>("iso8573-water-and-oil-limits");
  for (const [i, name] of (air.inputs["class"] ?? []).entries()) {
    const [dew, oil] = [dewPointOfClass(name), oilOfClass(name)];
    air.record.same(`dew point of class ${name}`, String(dew), String(air.expected["pressure_dew_point_max_C"]?.[i]));
    air.record.same(`oil of class ${name}`, String(oil), String(air.expected["oil_total_max_mg_m3"]?.[i]));
  }

  const dry = caseOf<Lists, Lists>("isa7-dew-point-rule");
  const points = (dry.inputs["minimum_ambient_C"] ?? []).map(instrumentAirDewPoint);
  dry.record.nearAll("highest pressure dew point", points, dry.expected["max_pressure_dew_point_C"] ?? [], 1e-9);

  const shunt = caseOf<Lists & { readonly resistance_ohm: number }, Lists>("scale-shunt-250ohm");
  const volts = (shunt.inputs["current_mA"] ?? []).map((mA) => {
    const rows = plainQuantity(`${mA} mA`, { across: `${shunt.inputs.resistance_ohm} ohm` });
    return rows.ok ? Number(rows.value[0]?.value) : Number.NaN;
  });
  shunt.record.nearAll("voltage", volts, shunt.expected["voltage_V"] ?? [], 1e-9);
  return [service, grades, air, dry, shunt].map((c) => c.record.result());
};

/** What results are made of, each by itself. */
export const partCases = (): readonly CaseResult[] => [...budgetParts(), ...rounding(), ...dynamics(), ...classes()];
