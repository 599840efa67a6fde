import { sql } from "kysely";
import type { RecordDatabase } from "../tables.ts";

/** A reference under the certificate that runs out last. */
export interface LatestReference {
  readonly role: string;
  readonly serial_number: string;
  readonly certificate_number: string;
  /** Day, YYYY-MM-DD. */
  readonly due: string;
  /** Of the last run with this certificate. */
  readonly simulated: number;
}

/**
 * Each reference that was ever used, with its latest certificate. A shop has few references and many runs, so the index is
 * jumped along from one reference to the next instead of being read through. Throws what the database throws.
 */
export const latestReferences = async (db: RecordDatabase): Promise<readonly LatestReference[]> => {
  const { rows } = await sql<LatestReference>`
    with recursive serials(serial_number) as (
      select min(serial_number) from references_used
      union all
      select (select min(u.serial_number) from references_used u where u.serial_number > serials.serial_number)
      from serials where serials.serial_number is not null
    ),
    latest as (
      select serial_number, (select max(u.due) from references_used u where u.serial_number = serials.serial_number) as due
      from serials where serial_number is not null
    ),
    last_use as (
      select serial_number, due, (
        select max(u.run_id) from references_used u where u.serial_number = latest.serial_number and u.due = latest.due
      ) as run_id
      from latest
    )
    select u.role, u.serial_number, u.certificate_number, u.due, runs.simulated
    from last_use
    join references_used u
      on u.run_id = last_use.run_id and u.serial_number = last_use.serial_number and u.due = last_use.due
    join runs on runs.run_id = last_use.run_id
    order by u.serial_number, u.role`.execute(db);
  return rows;
};
