import { addMonths } from "../../src/history/calendar-days.ts";
import type { CalibrationFact, FactPoint, FactStage } from "../../src/history/calibration-fact.ts";
import { DEFAULT_INTERVAL_SETTINGS, type IntervalSettings } from "../../src/history/methods/proposal.ts";
import { type UnitHistory, unitHistories } from "../../src/history/unit-history.ts";
import { studentTQuantile } from "../../src/uncertainty/statistics/student-t.ts";

/** Calibrations of invented units in few words. Errors in % of output span; the limit is 0.5. */
export interface Told {
  readonly date: string;
  /** Errors as found at 0 and at 100 %, rising; null: nothing was read. */
  readonly found: readonly [number, number] | null;
  /** As left after turning a screw; left out: nothing was turned. */
  readonly left?: readonly [number, number];
  readonly serial?: string;
  readonly more?: Partial<CalibrationFact>;
  readonly U?: number | null;
  readonly limit?: number;
}

const point = (nominal_percent: number, error: number, told: Told): FactPoint => ({
  nominal_percent,
  direction: "rising",
  error_percent_span: error,
  U_percent_span: told.U === undefined ? null : told.U,
  k: told.U === undefined || told.U === null ? null : 2,
  limit_percent_span: told.limit ?? 0.5,
  clipped: false,
});

const stage = ([zero, top]: readonly [number, number], told: Told): FactStage => ({
  points: [point(0, zero, told), point(100, top, told)],
  zero_error_percent_span: zero,
  span_error_percent_span: top - zero,
  verdict: Math.max(Math.abs(zero), Math.abs(top)) <= (told.limit ?? 0.5) ? "pass" : "fail",
});

export const factOf = (told: Told): CalibrationFact => {
  const serial = told.serial ?? "KV-1";
  return {
    run_id: `${serial} ${told.date}`,
    date: told.date,
    unit: {
      maker: "Hopwell Instruments",
      model: "HC-15",
      serial_number: serial,
      tag: `tag of ${serial}`,
      customer: "Three Kettles Brewery",
    },
    range: "4 to 20 mA, 20 to 100 kPa gauge, direct, linear",
    simulated: false,
    finished: true,
    as_found: told.found === null ? null : stage(told.found, told),
    as_left: told.left === undefined ? null : stage(told.left, told),
    adjusted: told.left !== undefined,
    references: [],
    interval_months: 6,
    ...told.more,
  };
};

export const historyOf = (...told: readonly Told[]): UnitHistory => {
  const [history] = unitHistories(told.map(factOf));
  if (history === undefined) throw new Error("no history");
  return history;
};

/** Calibrations so many months apart with these errors at 100 %; nothing turned. */
export const every = (months: number, errors: readonly number[], serial = "KV-1", from = "2024-01-15"): Told[] =>
  errors.map((e, i) => ({ date: addMonths(from, i * months), found: [0, e], serial }));

export const SETTINGS: IntervalSettings = { ...DEFAULT_INTERVAL_SETTINGS, studentT: studentTQuantile };
