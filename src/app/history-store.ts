import { DAYS_PER_MONTH, daysBetween } from "../history/calendar-days.ts";
import { accepted, type CalibrationFact } from "../history/calibration-fact.ts";
import { type DueRow, referenceDueRows } from "../history/due-row.ts";
import { parseFact } from "../history/fact-text.ts";
import type { HistorySource, ReadFacts, Unreadable } from "./history-source.ts";
import { dueRows } from "./records/queries/due-rows.ts";
import { latestReferences } from "./records/queries/latest-references.ts";
import type { RecordDatabase } from "./records/tables.ts";

/** The history out of the records of a bench or out of the shared ones: what is kept beside each run is enough. */

const factsIn = async (db: RecordDatabase, unit: string | undefined): Promise<ReadFacts> => {
  const wanted = (unit ?? "").trim().toLowerCase();
  const runs = db
    .selectFrom("runs")
    .where("kind", "=", "calibration")
    .$if(unit !== undefined, (q) =>
      q.where(({ exists, selectFrom }) =>
        exists(
          selectFrom("runs as named")
            .select("named.run_id")
            .whereRef("named.unit_maker", "=", "runs.unit_maker")
            .whereRef("named.unit_model", "=", "runs.unit_model")
            .where((e) =>
              e.or([
                e(e.fn("lower", ["named.unit_serial"]), "=", wanted),
                e(e.fn("lower", ["named.unit_tag"]), "=", wanted),
              ]),
            ),
        ),
      ),
    );
  const facts: CalibrationFact[] = [];
  const unreadable: Unreadable[] = [];
  for (const run of await runs.select(["run_id", "facts"]).execute()) {
    const fact = parseFact(run.facts);
    if (fact.ok) facts.push(fact.value);
    else unreadable.push({ where: run.run_id, fault: fact.fault });
  }
  return { facts, unreadable };
};

const rowsIn = async (db: RecordDatabase, until: string | undefined): Promise<readonly DueRow[]> => {
  const units = (await dueRows(db, { until })).map((row): DueRow => {
    const last = row.started_utc.slice(0, 10);
    return {
      kind: "unit",
      serial_number: row.unit_serial,
      model: row.unit_model,
      tag: row.unit_tag === "" ? null : row.unit_tag,
      customer: row.customer === "" ? null : row.customer,
      simulated: row.simulated === 1,
      last,
      interval_months: Math.round(daysBetween(last, row.next_due) / DAYS_PER_MONTH),
      due: row.next_due,
      rests_on: "fixed interval",
      not_accepted: !accepted(row.verdict ?? ""),
    };
  });
  const references = (await latestReferences(db)).map((r) => ({
    simulated: r.simulated === 1,
    reference: { name: r.role, serial_number: r.serial_number, certificate: r.certificate_number, due: r.due },
  }));
  return [...units, ...referenceDueRows(references)];
};

export const storeSource = (db: RecordDatabase): HistorySource => ({
  facts: (unit) => factsIn(db, unit),
  dueRows: (until) => rowsIn(db, until),
});
