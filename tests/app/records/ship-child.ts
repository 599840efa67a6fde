import { parsePostgresAddress } from "../../../src/app/records/postgres-address.ts";
import { shipStore } from "../../../src/app/records/ship-store.ts";
import { openSqlite, queriesOver } from "../../../src/app/records/sqlite-file.ts";

/** A shipper as a process of its own, so that it can be killed: says `begin`, and then each run that went over. */
const ship = async (): Promise<void> => {
  const [path = "", url = ""] = process.argv.slice(2);
  const address = parsePostgresAddress(url);
  if (!address.ok) throw new Error(address.fault.message);
  const db = queriesOver(openSqlite(path));
  process.stdout.write("begin\n");
  const done = await shipStore(db, address.value, {
    utc: () => new Date().toISOString(),
    onRun: (run_id) => process.stdout.write(`${run_id}\n`),
  });
  await db.destroy();
  for (const f of [...done.refused, ...(done.stopped_by === null ? [] : [done.stopped_by.fault])]) {
    process.stderr.write(`${f.message}\n`);
  }
  process.exitCode = done.stopped_by === null && done.refused.length === 0 && done.waiting === 0 ? 0 : 1;
};

void ship();
