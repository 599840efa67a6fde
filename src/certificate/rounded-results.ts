import type { FigureId, FigureUnit, PointError } from "../analysis/analysis.ts";
import type { PointVerdict, PointWord, StageVerdict } from "../decision/verdict.ts";
import type { PointUncertainty } from "../uncertainty/point-uncertainty.ts";
import { roundToPlace, roundUncertainty } from "../uncertainty/rounding.ts";
import { fromKilopascal, type PressureUnit } from "../vocabulary/pressure-units.ts";
import { kPa } from "../vocabulary/quantities.ts";
import type { Direction, Stage } from "../vocabulary/reading.ts";
import type { StageResult } from "./certificate-input.ts";
import { exactDecimal } from "./exact-decimal.ts";

/**
 * The one place where results are rounded. All texts are plain decimals (ASCII minus, point, no grouping), so that paper
 * and data files print the same digits. null = there is no such figure.
 */
export interface PressureTexts {
  readonly ideal: string;
  readonly output: string;
  readonly error: string;
  readonly U: string | null;
  readonly limit: string | null;
  readonly acceptance: string | null;
}

export interface RoundedPoint {
  readonly ordinal: number;
  readonly cycle: number;
  readonly direction: Direction;
  readonly nominal_percent: string;
  readonly nominal_mA: string;
  readonly applied_mA: string;
  readonly in_kPa: PressureTexts;
  /** The same in the customer's unit, each rounded from the unrounded value; null when that unit is kPa. */
  readonly in_customer_unit: PressureTexts | null;
  readonly error_percent_span: string;
  readonly U_percent_span: string | null;
  readonly k: string | null;
  readonly word: PointWord;
  /** More digits than two of U were needed, because the rounded figures alone would have told another verdict. */
  readonly more_digits: boolean;
  readonly clipped: PointError["clipped"];
}

export interface RoundedFigure {
  readonly id: FigureId;
  readonly unit: FigureUnit;
  /** null when there is no such figure in these readings. */
  readonly value: string | null;
  readonly at_percent: string | null;
}

export interface RoundedStage {
  readonly stage: Stage;
  readonly points: readonly RoundedPoint[];
  readonly figures: readonly RoundedFigure[];
  /** The point with the greatest error in size. */
  readonly worst: RoundedPoint | null;
  /** Coverage probability in percent. */
  readonly coverage_percent: string | null;
  readonly same_k: boolean;
  readonly word: PointWord;
}

/** Without an uncertainty nobody knows how many digits are worth anything: four places of kPa, and no verdict. */
const PLACE_WITHOUT_U = -4;

const accepts = (word: PointWord): boolean => word === "pass" || word === "conditional-pass";

/**
 * Would somebody who compares the printed error with the printed limits reach the verdict that was given? Only clear-cut
 * words are asked: pass means inside the acceptance limit, fail means outside the tolerance (or acceptance) limit.
 */
const printedAgrees = (texts: PressureTexts, word: PointWord, rule: StageVerdict["rule"]): boolean => {
  if (texts.limit === null || texts.acceptance === null || word === "no-statement") return true;
  const error = Math.abs(Number(texts.error));
  const limit = Number(texts.limit);
  const acceptance = Number(texts.acceptance);
  if (rule.rule !== "four-words") return error <= acceptance === accepts(word);
  if (word === "pass") return error <= acceptance;
  if (word === "conditional-pass") return error > acceptance && error <= limit;
  if (word === "conditional-fail") return error > limit;
  return error > limit + (limit - acceptance);
};

/** A limit goes to the place of the error, or one digit further when that makes it exact. */
const limitText = (limit: number, place: number): string => {
  const finer = exactDecimal(limit, place);
  return finer.length <= roundToPlace(limit, place).length + 1 ? finer : roundToPlace(limit, place);
};

const pressureTexts = (
  values: {
    readonly ideal: number;
    readonly output: number;
    readonly error: number;
    readonly U: number | null;
    readonly limit: number | null;
    readonly acceptance: number | null;
  },
  verdict: PointVerdict | undefined,
  rule: StageVerdict["rule"],
): { readonly texts: PressureTexts; readonly more: boolean } => {
  const U = values.U !== null && values.U > 0 ? roundUncertainty(values.U) : null;
  const place = U?.place ?? PLACE_WITHOUT_U;
  const at = (p: number): PressureTexts => ({
    ideal: roundToPlace(values.ideal, p),
    output: roundToPlace(values.output, p),
    error: roundToPlace(values.error, p),
    U: U?.text ?? null,
    limit: values.limit === null ? null : limitText(values.limit, p),
    acceptance: values.acceptance === null ? null : roundToPlace(values.acceptance, p),
  });
  for (let more = 0; more <= 6; more += 1) {
    const texts = at(place - more);
    if (printedAgrees(texts, verdict?.word ?? "no-statement", rule)) return { texts, more: more > 0 };
  }
  return { texts: at(place), more: false };
};

const roundPoint = (
  p: PointError,
  span_kPa: number,
  mA_per_kPa: number,
  u: PointUncertainty | undefined,
  v: PointVerdict | undefined,
  rule: StageVerdict["rule"],
  unit: PressureUnit,
): RoundedPoint => {
  const U = u?.U_kPa ?? null;
  const values = {
    ideal: p.ideal_kPa,
    output: p.output_kPa,
    error: p.error_kPa,
    U,
    limit: v?.limit_kPa ?? null,
    acceptance: v?.acceptance_kPa ?? null,
  };
  const inUnit = (value: number | null) => (value === null ? null : fromKilopascal(kPa(value), unit));
  const main = pressureTexts(values, v, rule);
  const customer =
    unit === "kPa"
      ? null
      : pressureTexts(
          {
            ideal: inUnit(values.ideal) ?? 0,
            output: inUnit(values.output) ?? 0,
            error: inUnit(values.error) ?? 0,
            U: inUnit(values.U),
            limit: inUnit(values.limit),
            acceptance: inUnit(values.acceptance),
          },
          v,
          rule,
        );
  const U_percent = U !== null && U > 0 ? roundUncertainty((100 * U) / span_kPa) : null;
  const current_place = U !== null && U > 0 ? roundUncertainty(U * mA_per_kPa).place : PLACE_WITHOUT_U;
  return {
    ordinal: p.ordinal,
    cycle: p.cycle,
    direction: p.direction,
    nominal_percent: exactDecimal(p.nominal_percent, 0),
    nominal_mA: exactDecimal(p.nominal_mA, -3),
    applied_mA: roundToPlace(p.applied_mA, Math.min(-3, current_place)),
    in_kPa: main.texts,
    in_customer_unit: customer?.texts ?? null,
    error_percent_span: roundToPlace(p.error_percent_span, U_percent?.place ?? PLACE_WITHOUT_U),
    U_percent_span: U_percent?.text ?? null,
    k: u === undefined ? null : roundToPlace(u.k, -2),
    word: v?.word ?? "no-statement",
    more_digits: main.more || (customer?.more ?? false),
    clipped: p.clipped,
  };
};

const decimals = (text: string | null): number => (text?.split(".")[1] ?? "").length;

/** Figures take the digits of U at the points: they are made of the same readings. */
const figurePlace = (unit: FigureUnit, points: readonly RoundedPoint[]): number => {
  if (unit === "kPa") return -Math.min(...points.map((p) => (p.in_kPa.U === null ? 3 : decimals(p.in_kPa.U))), 4);
  if (unit.startsWith("%")) {
    return -Math.min(...points.map((p) => (p.U_percent_span === null ? 3 : decimals(p.U_percent_span))), 4);
  }
  return unit === "1" ? -3 : -4;
};

/** 0.95 is 95 %, 0.9544997 is 95.45 %. */
const coverageText = (coverage: number): string => exactDecimal(Number(roundToPlace(100 * coverage, -2)), 0);

/**
 * Rounds the results of one stage.
 *
 * @param span_mA width of the input range, for the digits of the applied current
 * @param unit the unit in which the owner of the unit speaks
 */
export const roundedStage = (result: StageResult, span_mA: number, unit: PressureUnit): RoundedStage => {
  const { analysis, uncertainties, verdict } = result;
  const mA_per_kPa = span_mA / analysis.span_kPa;
  const points = analysis.points.map((p) =>
    roundPoint(
      p,
      analysis.span_kPa,
      mA_per_kPa,
      uncertainties.find((u) => u.ordinal === p.ordinal),
      verdict.points.find((v) => v.ordinal === p.ordinal),
      verdict.rule,
      unit,
    ),
  );
  let worst = -1;
  for (const [i, p] of analysis.points.entries()) {
    if (worst < 0 || Math.abs(p.error_kPa) > Math.abs(analysis.points[worst]?.error_kPa ?? 0)) worst = i;
  }
  const first = uncertainties[0];
  return {
    stage: analysis.stage,
    points,
    figures: analysis.figures.map((f) => ({
      id: f.id,
      unit: f.unit,
      value: Number.isFinite(f.value) ? roundToPlace(f.value, figurePlace(f.unit, points)) : null,
      at_percent: f.at_percent === undefined ? null : exactDecimal(f.at_percent, 0),
    })),
    worst: points[worst] ?? null,
    coverage_percent: first === undefined ? null : coverageText(first.coverage),
    same_k: new Set(points.map((p) => p.k)).size <= 1,
    word: verdict.word,
  };
};
