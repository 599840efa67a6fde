import { addDays, addMonths, type Day } from "../../../history/calendar-days.ts";
import { accepted, type CalibrationFact } from "../../../history/calibration-fact.ts";
import { type DueRow, referenceDueRows } from "../../../history/due-row.ts";
import type { RecordDatabase } from "../tables.ts";
import { dueRows, type LatestCalibration } from "./due-rows.ts";

/** What the history of units asks of records, from either database. All throw what the database throws. */

const monthsBetween = (from: Day, to: Day): number =>
  12 * (Number(to.slice(0, 4)) - Number(from.slice(0, 4))) + Number(to.slice(5, 7)) - Number(from.slice(5, 7));

/**
 * Day and interval that a next date was counted from: the row knows the instant in UTC, and the laboratory's own day may be
 * its neighbour.
 */
const countedFrom = (utcDay: Day, due: Day): { readonly last: Day; readonly months: number } => {
  for (const last of [utcDay, addDays(utcDay, 1), addDays(utcDay, -1)]) {
    const months = monthsBetween(last, due);
    if (addMonths(last, months) === due) return { last, months };
  }
  return { last: utcDay, months: monthsBetween(utcDay, due) };
};

const dueRowOf = (row: LatestCalibration): DueRow => {
  const { last, months } = countedFrom(row.ended_utc.slice(0, 10), row.next_due);
  return {
    kind: "unit",
    serial_number: row.unit_serial,
    model: row.unit_model,
    tag: row.unit_tag === "" ? null : row.unit_tag,
    customer: row.customer === "" ? null : row.customer,
    simulated: row.simulated === 1,
    last,
    interval_months: months,
    due: row.next_due,
    rests_on: "fixed interval",
    not_accepted: row.verdict === null || !accepted(row.verdict),
  };
};

/** Every certificate of a reference once, with the role it had. */
const referencesOf = async (db: RecordDatabase): Promise<readonly DueRow[]> => {
  const rows = await db
    .with("used", (with_) =>
      with_
        .selectFrom("references_used")
        .select(({ fn }) => ["serial_number", "certificate_number", "due", "role", fn.max("run_id").as("run_id")])
        .groupBy(["serial_number", "certificate_number", "due", "role"]),
    )
    .selectFrom("used")
    .innerJoin("runs", "runs.run_id", "used.run_id")
    .select(["used.serial_number", "used.certificate_number", "used.due", "used.role", "runs.simulated"])
    .execute();
  return referenceDueRows(
    rows.map(({ serial_number, certificate_number, due, role, simulated }) => ({
      simulated: simulated === 1,
      reference: { name: role, serial_number, certificate: certificate_number, due },
    })),
  );
};

/** What is due up to a day, by the interval that each last calibration stated; units first, then references. */
export const dueFromRecords = async (db: RecordDatabase, until?: Day): Promise<readonly DueRow[]> => {
  const units = (await dueRows(db, { until })).map(dueRowOf);
  const references = (await referencesOf(db)).filter((row) => until === undefined || row.due <= until);
  return [...units, ...references];
};

/**
 * Facts of the units with this serial number or tag and of all other units of their models; of every unit without one.
 * Runs that gave no fact are left out.
 */
export const factsFromRecords = async (db: RecordDatabase, unit?: string): Promise<readonly CalibrationFact[]> => {
  const facts = db.selectFrom("runs").select("facts").where("kind", "=", "calibration").where("facts", "!=", "{}");
  const parsed = (rows: readonly { readonly facts: string }[]): readonly CalibrationFact[] =>
    rows.map((row) => JSON.parse(row.facts) as CalibrationFact);
  if (unit === undefined) return parsed(await facts.execute());
  const wanted = unit.trim().toLowerCase();
  const models = await db
    .selectFrom("runs")
    .select(["unit_maker", "unit_model"])
    .distinct()
    .where(({ eb, fn, or }) =>
      or([eb(fn("lower", ["unit_serial"]), "=", wanted), eb(fn("lower", ["unit_tag"]), "=", wanted)]),
    )
    .execute();
  if (models.length === 0) return [];
  const ofModels = facts.where(({ eb, and, or }) =>
    or(models.map((m) => and([eb("unit_maker", "=", m.unit_maker), eb("unit_model", "=", m.unit_model)]))),
  );
  return parsed(await ofModels.execute());
};
