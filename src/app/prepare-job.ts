import { createAdjuster } from "../adjust/create-adjuster.ts";
import type { InterplayOfScrews } from "../adjust/interplay.ts";
import type { BenchFile } from "../config/bench-file.schema.ts";
import { checkTogether } from "../config/check-together.ts";
import { faultOfFiles } from "../config/file-fault.ts";
import type { LaboratoryFile } from "../config/laboratory-file.schema.ts";
import { pressureUAt, referencesOf } from "../config/reference-values.ts";
import type { UnitFile } from "../config/unit-file.schema.ts";
import { safeCurrentOf, toleranceAt, transferOf, ventCurrentOf } from "../config/unit-values.ts";
import { parseDecisionRule, printDecisionRule } from "../decision/decision-rule.ts";
import type { DecisionRule } from "../decision/verdict.ts";
import { makePlan, type PlanOptions } from "../plan/make-plan.ts";
import type { SettlingChoice, TestPlan } from "../plan/test-plan.ts";
import type { ExaminationRequest, Overrides, PreflightFacts } from "../run/run-request.ts";
import type { NextAdjustment } from "../vocabulary/adjustment.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { kPa, type Milliamp, mA } from "../vocabulary/quantities.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { pressureAt, spanOf, type Transfer } from "../vocabulary/signal-range.ts";
import { benchFacts } from "./bench-facts.ts";
import type { JobFiles } from "./job-files.ts";

export type { SettlingChoice };

export interface JobOptions {
  readonly station?: string | undefined;
  readonly operator: string;
  readonly plan?: PlanOptions;
  /** Rule text; the laboratory's own when left out. */
  readonly decision_rule?: string | undefined;
  readonly adjust?: "never" | "when-needed" | "always";
  readonly overrides?: Overrides;
}

/** A job that may begin: everything was read and checked, and nothing has been opened. */
export interface Job {
  readonly files: JobFiles;
  readonly bench: BenchFile;
  readonly station: string;
  readonly unit: UnitFile;
  readonly laboratory: LaboratoryFile;
  readonly transfer: Transfer;
  readonly plan: TestPlan;
  readonly rule: DecisionRule;
  readonly rule_text: string;
  readonly operator: string;
  readonly adjust: "never" | "when-needed" | "always";
  readonly overrides: Overrides;
  readonly safe_mA: Milliamp;
  readonly preflight: PreflightFacts;
  readonly nextAdjustment: NextAdjustment;
  /** What earlier records tell of this model's screws. */
  readonly interplay?: Partial<InterplayOfScrews>;
  /** A test that explains the unit, instead of a calibration. */
  readonly examine?: ExaminationRequest;
}

/** Most that commanded and measured current may differ before the loop counts as open or wrong; common practice, no source. */
const LOOP_TOLERANCE_mA = mA(0.05);
/**
 * What a gauge vented through the unit may show beyond its own uncertainty, share of span. The unit's own zero error
 * shows as well, so this finds a gauge for absolute pressure, a wrong unit or a large tare, not a small one; common
 * practice, no source.
 */
const VENT_SHARE = 0.03;

const chooseStation = (bench: BenchFile, wanted: string | undefined): Result<string, Fault> => {
  const names = Object.keys(bench.stations);
  const [only] = names;
  if (wanted !== undefined) return ok(wanted);
  if (names.length === 1 && only !== undefined) return ok(only);
  return err(
    fault("refused", "bad-option", `The bench has the stations ${names.join(", ")}.`, {
      remedy: "Say which with --station.",
    }),
  );
};

/** What the person at the bench can see and no instrument says. */
const itemWords = (bench: BenchFile, station: string, { identity }: UnitFile): string => {
  const height = bench.stations[station]?.height_difference;
  const mounted = height === undefined ? "" : `, its outlet at most ${height.text} above or below the gauge`;
  return `${identity.maker} ${identity.model}, serial number ${identity.serial_number}${mounted}`;
};

const factsOf = (bench: BenchFile, station: string, unit: UnitFile, today: string): PreflightFacts => {
  const { pressure, current, supply } = referencesOf(bench, station);
  const output = transferOf(unit).output;
  const measured = pressure?.measured;
  const named = [pressure, current, supply].filter((reference) => reference !== null);
  return {
    instruments: Object.entries(bench.instruments).map(([name, { serial_number }]) => ({ name, serial_number })),
    references: named.map(({ name, measured: { certificate } }) => ({
      name,
      certificate: certificate?.number ?? null,
      due: certificate?.due ?? null,
    })),
    today,
    item: itemWords(bench, station, unit),
    gauge: {
      range: measured === undefined ? null : { lower_kPa: measured.lower.kPa, upper_kPa: measured.upper.kPa },
      mode: output.mode,
      ...(measured?.resolution === undefined ? {} : { resolution_kPa: measured.resolution.kPa }),
      ...(pressure?.instrument.driver === "person" && measured?.resolution !== undefined
        ? { readable_kPa: measured.resolution.kPa }
        : {}),
      U_kPa: (measured === undefined ? null : pressureUAt(measured, kPa(0))) ?? kPa(0),
    },
    supply: { lower_kPa: unit.supply.lower.kPa, upper_kPa: unit.supply.upper.kPa },
    vent_mA: ventCurrentOf(unit),
    vent_tolerance_kPa: kPa(VENT_SHARE * spanOf(output)),
    loop_tolerance_mA: LOOP_TOLERANCE_mA,
  };
};

/** Everything that can be refused is refused here, before any port is opened. `today` is YYYY-MM-DD at the bench. */
export const prepareJob = (files: JobFiles, options: JobOptions, today: string): Result<Job, Fault> => {
  const { bench, unit, laboratory } = files;
  const station = chooseStation(bench, options.station);
  if (!station.ok) return station;
  const disagreements = checkTogether(bench, unit, station.value, today);
  if (disagreements.length > 0) return err(faultOfFiles(disagreements));
  const facts = benchFacts(bench, station.value);
  if (!facts.ok) return facts;
  const rule: Result<DecisionRule, Fault> =
    options.decision_rule === undefined ? ok(laboratory.decision_rule) : parseDecisionRule(options.decision_rule);
  if (!rule.ok) return rule;
  const transfer = transferOf(unit);
  const limits = {
    current: { lower_mA: bench.limits.current.lower.mA, upper_mA: bench.limits.current.upper.mA },
    bench_kPa: bench.limits.pressure.kPa,
    unit_kPa: unit.rated_maximum.kPa,
  };
  const plan = makePlan(transfer, limits, options.plan ?? {});
  if (!plan.ok) return plan;
  const tolerances = [transfer.output.lower_kPa, transfer.output.upper_kPa].map((end) => toleranceAt(unit, end));
  return ok({
    files,
    bench,
    station: station.value,
    unit,
    laboratory,
    transfer,
    plan: plan.value,
    rule: rule.value,
    rule_text: printDecisionRule(rule.value),
    operator: options.operator,
    adjust: options.adjust ?? "when-needed",
    overrides: options.overrides ?? {},
    safe_mA: safeCurrentOf(unit),
    preflight: factsOf(bench, station.value, unit, today),
    nextAdjustment: createAdjuster({
      wanted_kPa: {
        lower: pressureAt(transfer.output, plan.value.adjust_at.lower_percent),
        upper: pressureAt(transfer.output, plan.value.adjust_at.upper_percent),
      },
      tolerance_kPa: kPa(Math.min(...tolerances)),
      unit: transfer.output.unit,
      // By lift-off the low end is known below zero pressure as well.
      ...(transfer.output.mode === "gauge" && plan.value.adjust_at.zero_by === undefined ? { floor_kPa: kPa(0) } : {}),
    }),
  });
};
