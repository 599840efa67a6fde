import type { PointError, StageAnalysis } from "../analysis/analysis.ts";
import type { PointUncertainty } from "../uncertainty/point-uncertainty.ts";
import { roundToPlace, roundUncertainty } from "../uncertainty/rounding.ts";
import { fromKilopascal, type PressureUnit } from "../vocabulary/pressure-units.ts";
import { kPa } from "../vocabulary/quantities.ts";
import { decisionRuleText } from "./decision-rule.ts";
import { acceptanceForRisk, specificRisk, testUncertaintyRatio } from "./guard-band.ts";
import type { DecisionRule, PointVerdict, PointWord, StageVerdict } from "./verdict.ts";
import { type VerdictReason, verdictReasonText } from "./verdict-reason.ts";

/** What a point is judged by: the uncertainty of its error, or nothing when that is not known. */
export type UncertaintyOfError = Pick<PointUncertainty, "ordinal" | "U_kPa" | "k" | "degrees_of_freedom">;

/** Standard uncertainty behind U, so that a U raised to the smallest claimable one counts in the risk as well. */
const standardOf = (known: UncertaintyOfError): number => known.U_kPa / known.k;

/**
 * Differences this small, as a share of the limit, come from binary fractions and not from the bench: 1 - 0.9 is
 * 0.09999999999999998, and an error of 0.1 has to stand on that limit.
 */
const FLOATING_NOISE = 1e-12;

/** a <= b on closed limits. */
const within = (a: number, b: number, limit: number): boolean => a <= b + FLOATING_NOISE * limit;

/** Largest accepted |error|; null when the rule leaves no zone. U above the limit leaves none under any rule. */
const acceptanceOf = (rule: DecisionRule, limit: number, known: UncertaintyOfError): number | null => {
  if (!within(known.U_kPa, limit, limit)) return null;
  switch (rule.rule) {
    case "simple":
      return limit;
    case "guarded":
    case "four-words": {
      const acceptance = limit - rule.share_of_U * known.U_kPa;
      return within(0, acceptance, limit) ? Math.max(0, acceptance) : null;
    }
    case "target-risk":
      return acceptanceForRisk(limit, standardOf(known), known.degrees_of_freedom, rule.risk);
  }
};

const wordFor = (rule: DecisionRule, size: number, limit: number, acceptance: number): PointWord => {
  if (within(size, acceptance, limit)) return "pass";
  if (rule.rule !== "four-words") return "fail";
  if (within(size, limit, limit)) return "conditional-pass";
  return within(size, limit + (limit - acceptance), limit) ? "conditional-fail" : "fail";
};

/**
 * At a physical stop the true error can only be larger than what was read: that may fail, but never pass, unless
 * lift-off tells the hidden error.
 */
const hiddenBehind = (point: PointError, word: PointWord): PointWord =>
  point.clipped === "none" || point.by_lift_off !== undefined || word === "fail" ? word : "no-statement";

/** The error that is judged and its uncertainty: what was read, or what lift-off tells where zero pressure hides it. */
const judgedBy = (point: PointError, known: UncertaintyOfError) => {
  const told = point.by_lift_off;
  return told === undefined
    ? { error_kPa: point.error_kPa, known }
    : { error_kPa: told.error_kPa, known: { ...known, U_kPa: Math.hypot(known.U_kPa, known.k * told.u_kPa) } };
};

/** The verdict on one point, from unrounded values. */
export const decidePoint = (
  point: PointError,
  budget: UncertaintyOfError | undefined,
  limit_kPa: number,
  rule: DecisionRule,
): PointVerdict => {
  if (budget === undefined || !Number.isFinite(budget.U_kPa) || !Number.isFinite(point.error_kPa)) {
    const base = { ordinal: point.ordinal, error_kPa: point.error_kPa, limit_kPa };
    return { ...base, U_kPa: null, acceptance_kPa: null, word: "no-statement", specific_risk: null };
  }
  const { error_kPa, known } = judgedBy(point, budget);
  const base = { ordinal: point.ordinal, error_kPa, limit_kPa };
  const acceptance_kPa = acceptanceOf(rule, limit_kPa, known);
  const size = Math.abs(error_kPa);
  const word = hiddenBehind(
    point,
    acceptance_kPa === null ? "no-statement" : wordFor(rule, size, limit_kPa, acceptance_kPa),
  );
  const outside = specificRisk(error_kPa, limit_kPa, standardOf(known), known.degrees_of_freedom);
  const rejected = word === "fail" || word === "conditional-fail";
  return { ...base, U_kPa: known.U_kPa, acceptance_kPa, word, specific_risk: rejected ? 1 - outside : outside };
};

/** From best to worst. Any point outside keeps the stage from passing, whatever the others are. */
const ORDER: readonly PointWord[] = ["pass", "conditional-pass", "no-statement", "conditional-fail", "fail"];

const worst = (words: readonly PointWord[]): PointWord =>
  words.length === 0 ? "no-statement" : words.reduce((a, b) => (ORDER.indexOf(b) > ORDER.indexOf(a) ? b : a));

/** Enough digits that error and limit do not read as equal when they are not; each with its unit. */
const figures = (
  verdict: PointVerdict,
  unit: PressureUnit,
): { readonly error: string; readonly limit: string; readonly U: string } => {
  const { error_kPa, limit_kPa } = verdict;
  const own = (value_kPa: number): number => fromKilopascal(kPa(value_kPa), unit);
  const { text, place } = roundUncertainty(own(verdict.U_kPa || limit_kPa || 1));
  let at = place;
  while (
    at > -12 &&
    roundToPlace(own(Math.abs(error_kPa)), at) === roundToPlace(own(limit_kPa), at) &&
    !within(Math.abs(error_kPa), limit_kPa, limit_kPa)
  ) {
    at -= 1;
  }
  return {
    error: `${roundToPlace(own(error_kPa), at)} ${unit}`,
    limit: `${roundToPlace(own(limit_kPa), at)} ${unit}`,
    U: `${text} ${unit}`,
  };
};

const kindOf = (point: PointError, { word, U_kPa, error_kPa, limit_kPa }: PointVerdict): VerdictReason["kind"] => {
  if (word === "no-statement") {
    if (U_kPa === null) return "unknown-u";
    if (point.clipped !== "none") return point.clipped;
    return Math.abs(error_kPa) > limit_kPa + U_kPa ? "no-zone-and-beyond" : "no-zone";
  }
  if (word === "conditional-fail") return "narrowly-outside";
  return within(Math.abs(error_kPa), limit_kPa, limit_kPa) ? "guard-band" : "outside";
};

const reasonOf = (point: PointError, verdict: PointVerdict, unit: PressureUnit): VerdictReason => ({
  ordinal: point.ordinal,
  nominal_percent: point.nominal_percent,
  direction: point.direction,
  cycle: point.cycle,
  kind: kindOf(point, verdict),
  ...figures(verdict, unit),
});

/**
 * The verdict on one stage. As found and as left are judged apart, each from its own analysis. Everything is worked out
 * from unrounded values.
 *
 * @param uncertainties one for each point by `ordinal`; a point without one gets no statement
 * @param tolerance largest allowed |error| in kPa for an ideal output in kPa
 * @param unit of the figures in the reasons; everything else is kPa
 * @param gaps points of the plan that gave no reading, named; with one, the stage cannot pass
 */
export const decideStage = (
  analysis: StageAnalysis,
  uncertainties: readonly UncertaintyOfError[],
  tolerance: (ideal_kPa: number) => number,
  rule: DecisionRule,
  gaps: readonly string[] = [],
  unit: PressureUnit = "kPa",
): StageVerdict => {
  const known = new Map(uncertainties.map((u) => [u.ordinal, u]));
  const judged = analysis.points.map((point) => ({
    point,
    verdict: decidePoint(point, known.get(point.ordinal), tolerance(point.ideal_kPa), rule),
  }));
  const points = judged.map((j) => j.verdict);
  const words = points.map((p) => p.word);
  if (gaps.length > 0) words.push("no-statement");
  const keyed_reasons = judged.filter((j) => j.verdict.word !== "pass").map((j) => reasonOf(j.point, j.verdict, unit));
  const ratios = points.map((p) => (p.U_kPa ? testUncertaintyRatio(p.limit_kPa, p.U_kPa) : null));
  return {
    stage: analysis.stage,
    rule,
    rule_text: decisionRuleText(rule),
    points,
    word: worst(words),
    reasons: [
      ...keyed_reasons.map(verdictReasonText),
      ...gaps.map((gap) => `${gap}: no reading, so there is no statement`),
    ],
    keyed_reasons,
    tur: ratios.length === 0 || ratios.includes(null) ? null : Math.min(...ratios.map((r) => r ?? 0)),
  };
};
