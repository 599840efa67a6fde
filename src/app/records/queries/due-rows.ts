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
 * One row a unit, the first due first: what its latest calibration says. A unit is its maker, model and serial number, and a
 * simulated one is another one. Throws what the database throws.
 */
export const dueRows = async (db: RecordDatabase, { until }: DueWishes = {}): Promise<readonly LatestCalibration[]> => {
  const query = db
    .selectFrom("runs")
    .where("kind", "=", "calibration")
    .where("next_due", "is not", null)
    .where(({ not, exists, selectFrom }) =>
      not(
        exists(
          selectFrom("runs as later")
            .select("later.run_id")
            .whereRef("later.unit_serial", "=", "runs.unit_serial")
            .whereRef("later.unit_model", "=", "runs.unit_model")
            .whereRef("later.unit_maker", "=", "runs.unit_maker")
            .whereRef("later.simulated", "=", "runs.simulated")
            .where("later.kind", "=", "calibration")
            .where("later.next_due", "is not", null)
            .whereRef("later.started_utc", ">", "runs.started_utc"),
        ),
      ),
    )
    .select([
      "run_id",
      "unit_maker",
      "unit_model",
      "unit_serial",
      "unit_tag",
      "customer",
      "simulated",
      "started_utc",
      "ended_utc",
      "verdict",
      "next_due",
    ])
    .orderBy("next_due")
    .orderBy("unit_serial");
  const rows = await (until === undefined ? query : query.where("next_due", "<=", until)).execute();
  return rows.flatMap((row) => (row.next_due === null ? [] : [{ ...row, next_due: row.next_due }]));
};
