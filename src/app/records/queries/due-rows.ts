import { sql } from "kysely";
import type { RecordDatabase } from "../tables.ts";

/** The latest calibration of a unit that states when the next one is due. */
export interface LatestCalibration {
  readonly run_id: string;
  readonly unit_maker: string;
  readonly unit_model: string;
  readonly unit_serial: string;
  readonly unit_tag: string;
  readonly customer: string;
  readonly simulated: number;
  readonly started_utc: string;
  readonly ended_utc: string;
  readonly verdict: string | null;
  /** Day, YYYY-MM-DD. */
  readonly next_due: string;
}

export interface DueWishes {
  /** Due on this day or before, YYYY-MM-DD; without it all units. */
  readonly until?: string | undefined;
}

/**
 * Of each unit the latest calibration that states a date, as one text that sorts by time: instant (ISO 8601 with
 * milliseconds, 24 characters), due day (10 characters) and name. One reading of an index; no row is touched for it.
 */
const LATEST = sql<{ readonly latest: string }>`(
  select max(started_utc || ' ' || next_due || ' ' || run_id) as latest from runs
  where kind = 'calibration' and next_due is not null
  group by unit_serial, unit_model, unit_maker, simulated)`;
const dueOf = sql<string>`substr(units.latest, 26, 10)`;
const runOf = sql<string>`substr(units.latest, 37)`;

/**
 * One row a unit, the first due first: what its latest calibration says. A unit is its maker, model and serial number, and a
 * simulated one is another one. Throws what the database throws.
 */
export const dueRows = async (db: RecordDatabase, { until }: DueWishes = {}): Promise<readonly LatestCalibration[]> => {
  const query = db
    .selectFrom(LATEST.as("units"))
    .innerJoin("runs", (join) => join.on("runs.run_id", "=", runOf))
    .select([
      "runs.run_id",
      "runs.unit_maker",
      "runs.unit_model",
      "runs.unit_serial",
      "runs.unit_tag",
      "runs.customer",
      "runs.simulated",
      "runs.started_utc",
      "runs.ended_utc",
      "runs.verdict",
      "runs.next_due",
    ])
    .orderBy("runs.next_due")
    .orderBy("runs.unit_serial");
  const rows = await (until === undefined ? query : query.where(dueOf, "<=", until)).execute();
  return rows.flatMap((row) => (row.next_due === null ? [] : [{ ...row, next_due: row.next_due }]));
};
