import { parseBenchFile } from "../config/bench-file.ts";
import { faultOfFiles } from "../config/file-fault.ts";
import type { KnownParts } from "../config/known-drivers.ts";
import type { Day } from "../history/calendar-days.ts";
import type { CalibrationFact } from "../history/calibration-fact.ts";
import { type DueRow, lastOfEachUnit, referenceDueRows, unitDueRow } from "../history/due-row.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import { readRecord } from "./certify.ts";
import { historyFact } from "./history-fact.ts";
import { readText } from "./job-files.ts";

export interface Unreadable {
  /** File or run. */
  readonly where: string;
  readonly fault: Fault;
}

/** What cannot be read is left out and named; nothing is left out in silence. */
export interface ReadFacts {
  readonly facts: readonly CalibrationFact[];
  readonly unreadable: readonly Unreadable[];
}

/** Where the facts of calibrations come from: files of records, or a store that keeps them. Throws what a store throws. */
export interface HistorySource {
  /**
   * Facts of the units with this serial number or tag and of all other units of their models; of every unit without one.
   */
  readonly facts: (unit?: string) => Promise<ReadFacts>;
  /**
   * One row a unit by the interval its last calibration stated, and one row a reference. A store gives it from a few
   * columns; no reading is touched. `until`: later rows of units need not be there.
   */
  readonly dueRows: (until?: Day) => Promise<readonly DueRow[]>;
}

/** Does the text name the unit of this fact? Letters count alike in either case. */
export const namesUnit = (text: string, { unit }: Pick<CalibrationFact, "unit">): boolean => {
  const wanted = text.trim().toLowerCase();
  return unit.serial_number.toLowerCase() === wanted || unit.tag?.toLowerCase() === wanted;
};

/** The rows of a list of facts. */
export const dueRowsOf = (facts: readonly CalibrationFact[]): readonly DueRow[] => [
  ...lastOfEachUnit(facts).map((fact) =>
    unitDueRow(fact.unit, fact, { months: fact.interval_months, rests_on: "fixed interval" }),
  ),
  ...referenceDueRows(
    facts.flatMap(({ references, simulated }) => references.map((reference) => ({ reference, simulated }))),
  ),
];

/** Facts from files of records. */
export const recordFacts = (paths: readonly string[], known: KnownParts): ReadFacts => {
  const facts: CalibrationFact[] = [];
  const unreadable: Unreadable[] = [];
  for (const path of paths) {
    const text = readText(path);
    const record = text.ok ? readRecord(text.value) : text;
    const fact = record.ok ? historyFact(record.value, known) : record;
    if (fact.ok) facts.push(fact.value);
    else unreadable.push({ where: path, fault: fact.fault });
  }
  return { facts, unreadable };
};

/** A source over facts that are at hand. Where none is of the unit all are given: the answer can then name them. */
export const factsAtHand = ({ facts, unreadable }: ReadFacts): HistorySource => ({
  facts: (unit) => {
    const model = (f: CalibrationFact): string => JSON.stringify([f.unit.maker, f.unit.model]);
    const models = new Set(facts.filter((f) => unit === undefined || namesUnit(unit, f)).map(model));
    const wanted = models.size === 0 ? facts : facts.filter((f) => models.has(model(f)));
    return Promise.resolve({ facts: wanted, unreadable });
  },
  dueRows: () => Promise.resolve(dueRowsOf(facts)),
});

/** The references of a bench file with the dates on which their certificates run out. */
export const benchDueRows = (path: string, known: KnownParts): Result<readonly DueRow[], Fault> => {
  const text = readText(path);
  if (!text.ok) return text;
  const bench = parseBenchFile(text.value, path, known);
  if (!bench.ok) return { ok: false, fault: faultOfFiles(bench.fault) };
  const simulated = bench.value.simulation !== undefined;
  return ok(
    referenceDueRows(
      Object.entries(bench.value.instruments).flatMap(([name, instrument]) =>
        [instrument.pressure, instrument.current, instrument.temperature].flatMap((measured) => {
          const certificate = measured?.certificate;
          if (certificate === undefined) return [];
          const { serial_number } = instrument;
          return [
            { simulated, reference: { name, serial_number, certificate: certificate.number, due: certificate.due } },
          ];
        }),
      ),
    ),
  );
};
