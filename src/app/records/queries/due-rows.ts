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
    .with("latest", (inside) =>
      inside
        .selectFrom("runs")
        .where("kind", "=", "calibration")
        .where("next_due", "is not", null)
        .groupBy(["unit_serial", "unit_model", "unit_maker", "simulated"])
        .select(({ fn }) => [
          "unit_serial",
          "unit_model",
          "unit_maker",
          "simulated",
          fn.max("started_utc").as("started_utc"),
        ]),
    )
    .selectFrom("latest")
    .innerJoin("runs", (join) =>
      join
        .onRef("runs.unit_serial", "=", "latest.unit_serial")
        .onRef("runs.unit_model", "=", "latest.unit_model")
        .onRef("runs.unit_maker", "=", "latest.unit_maker")
        .onRef("runs.simulated", "=", "latest.simulated")
        .onRef("runs.started_utc", "=", "latest.started_utc"),
    )
    .where("runs.kind", "=", "calibration")
    .where("runs.next_due", "is not", null)
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
    .orderBy("runs.unit_serial")
    .orderBy("runs.run_id", "desc");
  const rows = await (until === undefined ? query : query.where("runs.next_due", "<=", until)).execute();
  // Two that began in one instant: the one with the later name counts, as everywhere.
  const units = new Set<string>();
  return rows.flatMap((row) => {
    const unit = JSON.stringify([row.unit_maker, row.unit_model, row.unit_serial, row.simulated]);
    if (row.next_due === null || units.has(unit)) return [];
    units.add(unit);
    return [{ ...row, next_due: row.next_due }];
  });
};
