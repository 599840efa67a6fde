import { addDays, addMonths, type Day } from "./calendar-days.ts";
import { accepted, type CalibrationFact, type FactReference, type UnitOfFact, unitKey } from "./calibration-fact.ts";
import { leftOf } from "./unit-history.ts";

/** All that a list of what is due needs of one unit or reference: a few columns, so that a store can give it quickly. */
export interface DueRow {
  readonly kind: "unit" | "reference";
  readonly serial_number: string;
  /** Model of a unit, name in the bench file of a reference. */
  readonly model: string;
  readonly tag: string | null;
  readonly customer: string | null;
  readonly simulated: boolean;
  /** Day of the last calibration; null for a reference, of which only the last day of use is known. */
  readonly last: Day | null;
  readonly interval_months: number | null;
  readonly due: Day;
  /** What the date rests on: a method, or the number of a certificate. */
  readonly rests_on: string;
  /** The last calibration left the unit outside what its rule accepts: it is not fit for use, whatever the date. */
  readonly not_accepted: boolean;
}

export type DueState = "overdue" | "due" | "soon" | "later";

/** Days ahead that count as due and as soon. Common practice, no source. */
export const DUE_DAYS = 30;
export const SOON_DAYS = 90;

export const dueState = ({ due }: Pick<DueRow, "due">, today: Day): DueState =>
  due < today
    ? "overdue"
    : due <= addDays(today, DUE_DAYS)
      ? "due"
      : due <= addDays(today, SOON_DAYS)
        ? "soon"
        : "later";

/** The most urgent first; of one day, by kind, serial number and model. */
export const byDue = (a: DueRow, b: DueRow): number => {
  const [p, q] = [a, b].map((r) => [r.due, r.kind === "unit" ? "1" : "0", r.serial_number, r.model].join("\n"));
  return (p ?? "") < (q ?? "") ? -1 : (p ?? "") > (q ?? "") ? 1 : 0;
};

/** Row of a unit from its last finished calibration. */
export const unitDueRow = (
  unit: UnitOfFact,
  fact: Pick<CalibrationFact, "date" | "as_found" | "as_left" | "adjusted" | "simulated">,
  interval: { readonly months: number; readonly due?: Day; readonly rests_on: string },
): DueRow => {
  const left = leftOf(fact);
  return {
    kind: "unit",
    serial_number: unit.serial_number,
    model: unit.model,
    tag: unit.tag,
    customer: unit.customer,
    simulated: fact.simulated,
    last: fact.date,
    interval_months: interval.months,
    due: interval.due ?? addMonths(fact.date, interval.months),
    rests_on: interval.rests_on,
    not_accepted: left === null || !accepted(left.verdict),
  };
};

/** Row of each reference, with the latest date on which one of its certificates runs out. */
export const referenceDueRows = (
  references: readonly { readonly reference: FactReference; readonly simulated: boolean }[],
): readonly DueRow[] => {
  const latest = new Map<string, DueRow>();
  for (const { reference, simulated } of references) {
    const { name, serial_number, certificate, due } = reference;
    const key = JSON.stringify([serial_number, simulated]);
    const known = latest.get(key);
    if (known !== undefined && known.due >= due) continue;
    latest.set(key, {
      kind: "reference",
      serial_number,
      model: name,
      tag: null,
      customer: null,
      simulated,
      last: null,
      interval_months: null,
      due,
      rests_on: `certificate ${certificate}`,
      not_accepted: false,
    });
  }
  return [...latest.values()].toSorted(byDue);
};

/** The last finished calibration of each unit, whatever the order of the list. */
export const lastOfEachUnit = (facts: readonly CalibrationFact[]): readonly CalibrationFact[] => {
  const last = new Map<string, CalibrationFact>();
  for (const fact of facts) {
    if (!fact.finished || (fact.as_found === null && fact.as_left === null)) continue;
    const known = last.get(unitKey(fact));
    if (known === undefined || fact.date > known.date || (fact.date === known.date && fact.run_id > known.run_id))
      last.set(unitKey(fact), fact);
  }
  return [...last.values()];
};
