import { type AnalysisOptions, analyseStage } from "../analysis/analyse-stage.ts";
import type { Figure, StageAnalysis } from "../analysis/analysis.ts";
import { reproducibilityFigure } from "../analysis/reproducibility.ts";
import { type StageChange, stageChange } from "../analysis/stage-change.ts";
import { parseUnitFile } from "../config/unit-file.ts";
import { inKilopascal, transferOf } from "../config/unit-values.ts";
import { decideStage, type UncertaintyOfError } from "../decision/decide-stage.ts";
import { parseDecisionRule } from "../decision/decision-rule.ts";
import type { DecisionRule, StageVerdict } from "../decision/verdict.ts";
import { parseReadingsCsv } from "../readings/readings-csv.ts";
import { parseReadingsJson } from "../readings/readings-json.ts";
import { type ReadingsSet, stagePointsOfSet, type TakenReading } from "../readings/readings-set.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { type Kilopascal, kPa } from "../vocabulary/quantities.ts";
import { parseQuantityOf, type QuantityOf } from "../vocabulary/quantity-text.ts";
import type { Stage } from "../vocabulary/reading.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { spanOf, type Transfer } from "../vocabulary/signal-range.ts";
import type { NamedText } from "./job-files.ts";
import { refusedFile } from "./refused-file.ts";

/** What the readings are held against: the unit, and if wanted a limit, a rule and an uncertainty. */
export interface Against {
  readonly transfer: Transfer;
  readonly tolerance: Limit | null;
  readonly rule: DecisionRule;
  /** For readings whose file states none. */
  readonly U: Limit | null;
  readonly k: number;
  readonly degrees_of_freedom: number;
}

type Limit = QuantityOf<"pressure" | "percent-of-span" | "percent-of-reading">;

/** The options as a person writes them; a unit file gives the transfer and the tolerance. */
export interface AgainstTexts {
  readonly unit?: NamedText;
  readonly transfer?: Transfer;
  readonly tolerance?: string;
  readonly rule?: string;
  readonly U?: string;
  readonly k?: number;
  readonly degrees_of_freedom?: number;
}

/** The rule when nobody names one, as in a laboratory file that is silent about it. */
export const USUAL_RULE = "guarded";

const limitOf = (text: string | undefined, what: string): Result<Limit | null, Fault> => {
  if (text === undefined) return ok(null);
  const parsed = parseQuantityOf(["percent-of-span", "percent-of-reading", "pressure"], text);
  if (!parsed.ok)
    return err(
      fault("refused", "bad-option", `${what}: ${parsed.fault.message}`, {
        remedy: / has no unit\.$/u.test(parsed.fault.message)
          ? `Say of what, or in which unit: ${text} %span, ${text} %reading, ${text} kPa.`
          : parsed.fault.remedy,
      }),
    );
  const { value } = parsed;
  const size = value.kind === "pressure" ? value.kPa : value.percent;
  if (size > 0) return ok(value);
  return err(
    fault("refused", "bad-option", `${what}: "${text}" is not above zero.`, { remedy: "Write it without a sign." }),
  );
};

/** Options to what the readings are held against. */
export const againstOf = (texts: AgainstTexts): Result<Against, Fault> => {
  const unit = texts.unit === undefined ? null : parseUnitFile(texts.unit.text, texts.unit.name);
  if (unit !== null && !unit.ok) return refusedFile(unit.fault);
  const transfer = unit === null ? texts.transfer : transferOf(unit.value);
  if (transfer === undefined) {
    return err(
      fault("refused", "bad-option", "It is not said what the unit ought to do.", {
        remedy: 'Give --unit my-unit.yaml, or --output "3 psi to 15 psi" (and --input, if it is not 4 mA to 20 mA).',
      }),
    );
  }
  const tolerance = limitOf(texts.tolerance, "tolerance");
  if (!tolerance.ok) return tolerance;
  const U = limitOf(texts.U, "U");
  if (!U.ok) return U;
  const rule = parseDecisionRule(texts.rule ?? USUAL_RULE);
  if (!rule.ok) return rule;
  return ok({
    transfer,
    tolerance: tolerance.value ?? unit?.value.tolerance ?? null,
    rule: rule.value,
    U: U.value,
    k: texts.k ?? 2,
    degrees_of_freedom: texts.degrees_of_freedom ?? Number.POSITIVE_INFINITY,
  });
};

/** One file of readings, worked out. */
export interface AnalysedReadings {
  readonly set: ReadingsSet;
  readonly stage: Stage;
  readonly transfer: Transfer;
  readonly analysis: StageAnalysis;
  readonly missing: readonly TakenReading[];
  /** null: nothing to judge by; `no_verdict` says what is not there. */
  readonly verdict: StageVerdict | null;
  readonly no_verdict: string | null;
}

export interface AnalysedFiles {
  /** One for each stage of each file, in the order of the files; as found before as left. */
  readonly files: readonly AnalysedReadings[];
  /** What happened between as found and as left, for each file that holds both. */
  readonly changes: readonly (StageChange & { readonly name: string })[];
  /** Over several files, each a run of the same unit, as found; as left alone where no file has as found. */
  readonly reproducibility: Figure | null;
  /** The same over the as-left readings, where files hold both. */
  readonly reproducibility_as_left: Figure | null;
}

const parseReadings = ({ name, text }: NamedText): Result<ReadingsSet, Fault> => {
  const parsed = /^\s*\{/u.test(text) ? parseReadingsJson(text, name) : parseReadingsCsv(text, name);
  return parsed.ok ? parsed : refusedFile(parsed.fault);
};

const uncertaintiesOf = (set: ReadingsSet, against: Against): readonly UncertaintyOfError[] => {
  const span = spanOf(against.transfer.output);
  return set.readings.flatMap((r) => {
    const stated = r.U_kPa;
    const common =
      against.U === null || r.output_kPa === null ? null : inKilopascal(against.U, span, kPa(r.output_kPa));
    const U_kPa = stated ?? common;
    if (U_kPa === null || !(U_kPa > 0)) return [];
    return [{ ordinal: r.ordinal, U_kPa, k: r.k ?? against.k, degrees_of_freedom: against.degrees_of_freedom }];
  });
};

const missingText = (r: TakenReading): string =>
  `point ${r.ordinal} (${r.nominal_mA} mA ${r.direction}, cycle ${r.cycle})`;

const judged = (
  analysis: StageAnalysis,
  set: ReadingsSet,
  missing: readonly TakenReading[],
  against: Against,
): Pick<AnalysedReadings, "verdict" | "no_verdict"> => {
  const uncertainties = uncertaintiesOf(set, against);
  const { tolerance } = against;
  if (tolerance === null || uncertainties.length === 0) {
    const lacking = [
      ...(tolerance === null ? ["no tolerance is given"] : []),
      ...(uncertainties.length === 0 ? ["no uncertainty is given (a column U_<unit>, or --U)"] : []),
    ];
    return { verdict: null, no_verdict: `No verdict is made: ${lacking.join(" and ")}.` };
  }
  const span = spanOf(against.transfer.output);
  const limit = (ideal_kPa: number): Kilopascal => inKilopascal(tolerance, span, kPa(ideal_kPa));
  return {
    verdict: decideStage(
      analysis,
      uncertainties,
      limit,
      against.rule,
      missing.map(missingText),
      against.transfer.output.unit,
    ),
    no_verdict: null,
  };
};

/** A set point farther outside the range than this is no over-range test but another range. % of span; no source. */
const FARTHEST_PERCENT = 15;

const refused = (message: string, remedy: string): Result<never, Fault> =>
  err(fault("refused", "bad-file", message, { means: "Nothing was analysed.", remedy }));

/** Readings that were taken elsewhere, to figures and verdict. The numbers are taken as corrected: no certificate is asked. */
const analyseReadings = (
  set: ReadingsSet,
  against: Against,
  options: Omit<AnalysisOptions, "stage"> = {},
): Result<AnalysedReadings, Fault> => {
  const { transfer } = against;
  const stage = set.readings[0]?.stage ?? "as-found";
  const read = stagePointsOfSet(set, transfer);
  if (!read.ok) return read;
  const { points, missing } = read.value;
  if (points.length === 0)
    return refused(`${set.name}: every reading is missing, so there is nothing to analyse.`, "Fill in what was read.");
  const outside = points.find((p) => Math.abs(p.nominal_percent - 50) > 50 + FARTHEST_PERCENT);
  if (outside !== undefined) {
    return refused(
      `${set.name}: point ${outside.ordinal} has a set point of ${outside.nominal_mA} mA, which is ${Number(outside.nominal_percent.toPrecision(4))} % of this unit's span.`,
      "Check nominal_mA in the file, or the input range of the unit (--input).",
    );
  }
  const analysis = analyseStage(points, transfer, { ...options, stage });
  if (!analysis.ok) return analysis;
  const verdict = judged(analysis.value, set, missing, against);
  return ok({ set, stage, transfer, analysis: analysis.value, missing, ...verdict });
};

/** The stages of a file, each as a set of its own. */
const stagesOf = (set: ReadingsSet): readonly ReadingsSet[] =>
  (["as-found", "as-left"] as const).flatMap((stage) => {
    const readings = set.readings.filter((r) => r.stage === stage);
    return readings.length === 0 ? [] : [{ ...set, readings }];
  });

/** Several files, each a run of one unit; each may hold as found, as left, or both. */
export const analyseReadingsFiles = (
  texts: readonly NamedText[],
  against: Against,
  options: Omit<AnalysisOptions, "stage"> = {},
): Result<AnalysedFiles, Fault> => {
  const files: AnalysedReadings[] = [];
  const changes: (StageChange & { readonly name: string })[] = [];
  for (const text of texts) {
    const set = parseReadings(text);
    if (!set.ok) return set;
    const stages: AnalysedReadings[] = [];
    for (const part of stagesOf(set.value)) {
      const done = analyseReadings(part, against, options);
      if (!done.ok) return done;
      stages.push(done.value);
    }
    files.push(...stages);
    const [found, left] = stages;
    if (found !== undefined && left !== undefined) {
      changes.push({ name: set.value.name, ...stageChange(found.analysis, left.analysis) });
    }
  }
  const over = (stage: Stage): Figure | null =>
    reproducibilityFigure(files.filter((f) => f.stage === stage).map((f) => f.analysis));
  const [found, left] = [over("as-found"), over("as-left")];
  const both = files.some((f) => f.stage === "as-found");
  return ok({ files, changes, reproducibility: both ? found : left, reproducibility_as_left: both ? left : null });
};
