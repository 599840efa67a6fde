import { PRESSURE_UNITS, type PressureUnit, toKilopascal } from "../../vocabulary/pressure-units.ts";
import { kPa } from "../../vocabulary/quantities.ts";
import { type Characteristic, percentOf } from "../../vocabulary/signal-range.ts";
import { type ScalingLaw, scaled } from "../convert/scaling.ts";
import { caseFile, sourceText } from "./case-files.ts";
import { type CaseResult, recordCase } from "./check.ts";

interface About {
  readonly id: string;
  readonly status: string;
  readonly source: Parameters<typeof sourceText>[0];
}
type Term = "input" | "percent" | "output";
interface Scaling extends About {
  readonly input_range: readonly number[];
  readonly output_range: readonly number[];
  readonly characteristic: Characteristic;
  readonly rows: readonly ({ readonly given: Term } & Readonly<Partial<Record<Term, number>>>)[];
  readonly tolerance: number;
}
interface UnitsFile {
  readonly scaling: readonly Scaling[];
  readonly span_error: readonly (About &
    Readonly<Record<"lower" | "upper" | "applied" | "indicated" | "error_percent" | "tolerance", number>>)[];
  readonly factors: readonly (About & {
    readonly rows: readonly {
      readonly printed_as: string;
      readonly unit: PressureUnit;
      readonly pascal: number;
      readonly half_last_digit: number;
    }[];
  })[];
  readonly exact_psi: readonly (About & Readonly<Record<"pascal" | "relative_tolerance", number>>)[];
  readonly psi_to_kpa: readonly (About & {
    readonly psi: readonly number[];
    readonly kPa: readonly number[];
    readonly tolerance: number;
  })[];
  readonly water_20_degc: readonly (About & Readonly<Record<"pascal" | "tolerance", number>>)[];
}

const TERMS = { input: "input", percent: "output_percent", output: "output" } as const;

const lawOf = ({ input_range, output_range, characteristic }: Scaling): ScalingLaw => ({
  input: { lower: input_range[0] ?? Number.NaN, upper: input_range[1] ?? Number.NaN },
  output: { lower: output_range[0] ?? Number.NaN, upper: output_range[1] ?? Number.NaN },
  action: "direct",
  characteristic,
});

const begin = (area: string, { id, source, status }: About) =>
  recordCase({ area, id, source: sourceText(source), status });

/** Scaling of signals, span errors and pressure units. */
export const unitCases = (): readonly CaseResult[] => {
  const file = caseFile("units-and-ranges") as UnitsFile;
  const results: CaseResult[] = [];
  for (const each of file.scaling) {
    const record = begin("scaling", each);
    for (const row of each.rows) {
      const got = scaled(lawOf(each), TERMS[row.given], row[row.given] ?? Number.NaN);
      for (const term of ["input", "percent", "output"] as const) {
        if (term === row.given || row[term] === undefined) continue;
        record.near(`${term} for ${row.given} ${row[row.given]}`, got[TERMS[term]], row[term], each.tolerance);
      }
    }
    results.push(record.result());
  }
  for (const each of file.span_error) {
    const record = begin("span error", each);
    const range = { lower_kPa: kPa(each.lower), upper_kPa: kPa(each.upper), unit: "kPa", mode: "gauge" } as const;
    const error = percentOf(range, kPa(each.indicated)) - percentOf(range, kPa(each.applied));
    record.near("error, % of span", error, each.error_percent, each.tolerance);
    results.push(record.result());
  }
  for (const each of file.factors) {
    const record = begin("pressure units", each);
    for (const { printed_as, unit, pascal, half_last_digit } of each.rows) {
      record.near(`pascals in ${printed_as}`, PRESSURE_UNITS[unit].pascal, pascal, half_last_digit);
    }
    results.push(record.result());
  }
  for (const each of file.exact_psi) {
    const record = begin("pressure units", each);
    record.near("pascals in psi", PRESSURE_UNITS.psi.pascal, each.pascal, each.relative_tolerance * each.pascal);
    results.push(record.result());
  }
  for (const each of file.psi_to_kpa) {
    const record = begin("pressure units", each);
    record.nearAll(
      "psi in kPa",
      each.psi.map((p) => toKilopascal(p, "psi")),
      each.kPa,
      each.tolerance,
    );
    results.push(record.result());
  }
  for (const each of file.water_20_degc) {
    const record = begin("pressure units", each);
    record.near("pascals in inH2O(20degC)", PRESSURE_UNITS["inH2O(20degC)"].pascal, each.pascal, each.tolerance);
    results.push(record.result());
  }
  return results;
};
