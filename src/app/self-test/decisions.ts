import { type DecidedValue, decideValue } from "../../decision/decide-value.ts";
import { parseDecisionRule } from "../../decision/decision-rule.ts";
import { globalRisk, worstConsumerRisk, worstRiskAtReliability } from "../../decision/global-risk.ts";
import {
  acceptanceByMethod6,
  acceptanceByRootDifference,
  capabilityIndex,
  specificRisk,
  testAccuracyRatio,
  testUncertaintyRatio,
} from "../../decision/guard-band.ts";
import { normalQuantile } from "../../uncertainty/statistics/normal.ts";
import { allowed, casesIn } from "./case-files.ts";
import type { CaseResult } from "./check.ts";

type Numbers<K extends string> = Readonly<Record<K, number>>;
const INFINITE = Number.POSITIVE_INFINITY;

/** A value with its standard uncertainty, by the way that `stillpoint decide` goes. */
const decided = (value: number, u: number, lower: number, upper: number, words = "simple"): DecidedValue => {
  const rule = parseDecisionRule(words);
  if (!rule.ok) throw new Error(rule.fault.message);
  return decideValue({ value, U: 2 * u, k: 2, degrees_of_freedom: INFINITE, limits: { lower, upper } }, rule.value);
};

/** Decisions and their risks: JCGM 106:2012, ILAC-G8:09/2019, ANSI/NCSL Z540.3. */
export const decisionCases = (): readonly CaseResult[] => {
  const caseOf = casesIn("decision-cases", "decisions");

  const z = caseOf<{ readonly pc: readonly number[] }, { readonly z: readonly number[] }>("106-table1-z");
  z.record.nearAll("z", z.inputs.pc.map(normalQuantile), z.expected.z, allowed(z.tolerance, "z", 1));

  const zener = caseOf<Numbers<"TU" | "y" | "u">, Numbers<"pc">>("106-7.3-zener");
  const below = decided(zener.inputs.y, zener.inputs.u, -INFINITE, zener.inputs.TU);
  zener.record.near(
    "probability inside one limit",
    1 - below.probability_outside,
    zener.expected.pc,
    allowed(zener.tolerance, "pc", 1),
  );

  const two = caseOf<Numbers<"TL" | "TU" | "y" | "u">, Numbers<"pc">>("106-7.4-two-sided");
  const between = decided(two.inputs.y, two.inputs.u, two.inputs.TL, two.inputs.TU);
  two.record.near(
    "probability inside two limits",
    1 - between.probability_outside,
    two.expected.pc,
    allowed(two.tolerance, "pc", 1),
  );

  const cm = caseOf<
    { readonly examples: readonly [Numbers<"T" | "um">, Numbers<"Emax" | "U">] },
    { readonly Cm: readonly number[] }
  >("106-7.6-Cm");
  const [span, largest] = cm.inputs.examples;
  cm.record.nearAll(
    "capability index",
    [capabilityIndex(span.T / 2, span.um), capabilityIndex(largest.Emax, largest.U / 2)],
    cm.expected.Cm,
    allowed(cm.tolerance, "Cm", 1),
  );

  const guard = caseOf<unknown, Numbers<"max_specific_false_accept">>("106-8.3.2-guard");
  const atLimit = decided(98, 1, -INFINITE, 100, "guarded");
  guard.record.same("verdict at the limit less 2u", atLimit.word, "pass");
  guard.record.near(
    "specific risk there",
    atLimit.specific_risk,
    guard.expected.max_specific_false_accept,
    allowed(guard.tolerance, "max_specific_false_accept", 1),
  );

  const speed = caseOf<Numbers<"v0" | "u_rel" | "p">, Numbers<"vmax">>("106-8.3.3-speed");
  const vmax = speed.inputs.v0 / (1 - normalQuantile(speed.inputs.p) * speed.inputs.u_rel);
  speed.record.near("largest speed that is let pass", vmax, speed.expected.vmax, allowed(speed.tolerance, "vmax", 1));

  const ohms = caseOf<Numbers<"y0" | "u0" | "um" | "TL" | "TU" | "AL" | "AU">, Numbers<"pc" | "RC" | "RP">>(
    "106-9.5-resistors",
  );
  {
    const { y0, u0, um, TL, TU, AL, AU } = ohms.inputs;
    const risk = globalRisk({
      prior: { mean: y0, sd: u0 },
      u: um,
      tolerance: { lower: TL, upper: TU },
      acceptance: { lower: AL, upper: AU },
    });
    ohms.record.near("conforming", risk.conforming, ohms.expected.pc, allowed(ohms.tolerance, "pc", 1));
    ohms.record.near("consumer's risk", risk.consumer, ohms.expected.RC, allowed(ohms.tolerance, "RC", 1));
    ohms.record.near("producer's risk", risk.producer, ohms.expected.RP, allowed(ohms.tolerance, "RP", 1));
  }

  const half = caseOf<unknown, Numbers<"RC" | "RP">>("106-9.5.6-Cm2");
  {
    const limits = { lower: -3, upper: 3 };
    const risk = globalRisk({ prior: { mean: 0, sd: 1 }, u: 6 / 8, tolerance: limits, acceptance: limits });
    half.record.near("consumer's risk", risk.consumer, half.expected.RC, allowed(half.tolerance, "RC", 1));
    half.record.near("producer's risk", risk.producer, half.expected.RP, allowed(half.tolerance, "RP", 1));
  }

  const bands = caseOf<
    { readonly guard_band_in_U: readonly number[] },
    { readonly pfa_bound: readonly number[] },
    unknown
  >("g8-table-guard");
  bands.inputs.guard_band_in_U.forEach((share, i) => {
    bands.record.below(
      `specific risk with a guard band of ${share} U`,
      specificRisk(100 - share * 2, 100, 1),
      bands.expected.pfa_bound[i] ?? 0,
    );
  });

  const words = caseOf<
    Numbers<"TU" | "U"> & { readonly measured: readonly number[] },
    Readonly<Record<"binary_simple" | "binary_guard_w_U" | "nonbinary_w_U", readonly string[]>>,
    unknown
  >("g8-4.2-decisions");
  for (const [key, rule] of [
    ["binary_simple", "simple"],
    ["binary_guard_w_U", "guarded"],
    ["nonbinary_w_U", "four-words"],
  ] as const) {
    words.inputs.measured.forEach((value, i) => {
      const { TU, U } = words.inputs;
      const word = decided(value, U / 2, -TU, TU, rule).word.replace("-", " ");
      words.record.same(`${rule}, ${value}`, word, words.expected[key][i] ?? "");
    });
  }

  const six = caseOf<{ readonly TUR: readonly number[] }, { readonly A: readonly number[] }>("z540-method6");
  six.record.nearAll(
    "acceptance limit",
    six.inputs.TUR.map((r) => acceptanceByMethod6(1, 1 / r)),
    six.expected.A,
    allowed(six.tolerance, "A", 1),
  );

  const ratio = caseOf<
    unknown,
    Numbers<"worst_case_PFA_TUR_4" | "worst_case_PFA_TUR_4_6" | "worst_case_PFA_observed_EOPR_0_89">
  >("z540-tur-thresholds");
  const reliability = "worst_case_PFA_observed_EOPR_0_89";
  ratio.record.near(
    "largest consumer's risk at an observed reliability of 89 %",
    worstRiskAtReliability(1, 1, 0.89),
    ratio.expected[reliability],
    allowed(ratio.tolerance, reliability, 1),
  );
  for (const [key, tur] of [
    ["worst_case_PFA_TUR_4", 4],
    ["worst_case_PFA_TUR_4_6", 4.6],
  ] as const) {
    ratio.record.near(
      `largest consumer's risk at ${tur}:1`,
      worstConsumerRisk(1, 1, 1 / tur / 2),
      ratio.expected[key],
      allowed(ratio.tolerance, key, 1),
    );
  }

  const root = caseOf<{ readonly TUR: readonly number[] }, { readonly A_over_L: readonly number[] }>("rds-guard");
  root.record.nearAll(
    "acceptance limit",
    root.inputs.TUR.map((r) => acceptanceByRootDifference(1, 1 / r) ?? Number.NaN),
    root.expected.A_over_L,
    allowed(root.tolerance, "A_over_L", 1),
  );
  const ratios = caseOf<
    Numbers<"U95" | "standard_tolerance"> & { readonly tolerance: readonly number[] },
    Numbers<"TUR" | "TAR" | "Cm">
  >("z540-tur-definition");
  const limit = ratios.inputs.tolerance[1] ?? Number.NaN;
  ratios.record.near(
    "test uncertainty ratio",
    testUncertaintyRatio(limit, ratios.inputs.U95),
    ratios.expected.TUR,
    1e-12,
  );
  ratios.record.near(
    "test accuracy ratio",
    testAccuracyRatio(limit, ratios.inputs.standard_tolerance),
    ratios.expected.TAR,
    1e-12,
  );
  ratios.record.near("capability index", capabilityIndex(limit, ratios.inputs.U95 / 2), ratios.expected.Cm, 1e-12);
  return [z, zener, two, cm, guard, speed, ohms, half, bands, words, six, ratio, ratios, root].map((c) =>
    c.record.result(),
  );
};
