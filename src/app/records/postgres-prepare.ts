import { randomBytes } from "node:crypto";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { type Kysely, sql } from "kysely";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { writeWhole } from "../write-whole.ts";
import { migrate } from "./migrate.ts";
import type { PostgresAddress } from "./postgres-address.ts";
import { passwordIn } from "./postgres-password.ts";
import { PROTECTION, RECORD_TABLES } from "./postgres-protection.ts";
import { openShared } from "./postgres-queries.ts";
import { postgresTrouble } from "./postgres-trouble.ts";
import { scramVerifier } from "./scram-verifier.ts";
import type { RecordTables } from "./tables.ts";

/**
 * Makes an empty database the shared one, or brings it up to this version: tables, what the database refuses, and two roles
 * that hold rights and no login, `DATABASE_bench` (read and add) and `DATABASE_reader` (read). Run by its owner, who keeps
 * the tables.
 */
export interface PrepareWishes {
  /** Logins of benches and of readers to be made. */
  readonly benches: readonly string[];
  readonly readers: readonly string[];
  /** Folder for one password file a login. */
  readonly passwords: string;
}

export interface PreparedDatabase {
  readonly migrations: readonly string[];
  /** Logins that were made now, each with the file that its password is in. */
  readonly made: readonly { readonly login: string; readonly role: string; readonly password_file: string }[];
  /** Logins that were there already; their passwords stay. */
  readonly known: readonly string[];
}

const LOGIN = /^[a-z][a-z0-9_]{0,50}$/u;
const REVOKED = [...RECORD_TABLES, "senders"] as const;

/** Of the server: names are cut off behind 63 bytes. */
export const rolesOf = (database: string) => ({ bench: `${database}_bench`, reader: `${database}_reader` });

const roleExists = async (db: Kysely<RecordTables>, name: string): Promise<boolean> =>
  (await sql`select 1 from pg_roles where rolname = ${name}`.execute(db)).rows.length > 0;

/** What the two roles may do, and nothing else. */
const grantRights = async (db: Kysely<RecordTables>, database: string): Promise<void> => {
  const roles = rolesOf(database);
  for (const name of Object.values(roles)) {
    if (!(await roleExists(db, name))) await sql`create role ${sql.id(name)} nologin`.execute(db);
  }
  const [bench, reader, all] = [sql.id(roles.bench), sql.id(roles.reader), sql.join(REVOKED.map((t) => sql.table(t)))];
  await sql`revoke all on database ${sql.id(database)} from public`.execute(db);
  await sql`grant connect on database ${sql.id(database)} to ${bench}, ${reader}`.execute(db);
  await sql`revoke create on schema public from public`.execute(db);
  await sql`revoke all on ${all} from public, ${bench}, ${reader}`.execute(db);
  await sql`grant select on ${all} to ${bench}, ${reader}`.execute(db);
  await sql`grant insert on ${sql.join(RECORD_TABLES.map((t) => sql.table(t)))} to ${bench}`.execute(db);
  await sql`grant select on kysely_migration to ${bench}, ${reader}`.execute(db);
};

/** Before version 15 everybody could make tables in a database; its owner could not take that away. */
const mayMakeTables = async (db: Kysely<RecordTables>, database: string): Promise<boolean> => {
  const { rows } = await sql<{ may: boolean }>`
    select has_schema_privilege(${rolesOf(database).bench}, 'public', 'create') as may`.execute(db);
  return rows[0]?.may === true;
};

const makeLogin = async (
  db: Kysely<RecordTables>,
  { database }: PostgresAddress,
  login: string,
  role: string,
  folder: string,
): Promise<Result<PreparedDatabase["made"][number], Fault>> => {
  const path = join(folder, `${login}.pgpass`);
  // The file comes first: a login whose password nobody has is of no use, and a file that was left from an attempt that was
  // cut off is taken up again.
  const left = existsSync(path)
    ? passwordIn(readFileSync(path, "utf8"), { host: "", port: "", database, login })
    : null;
  const password = left ?? randomBytes(24).toString("hex");
  if (left === null) {
    const file = await writeWhole(path, `*:*:${database}:${login}:${password}\n`, "keep", 0o600);
    if (!file.ok) return file;
  }
  const verifier = sql.lit(scramVerifier(password, randomBytes(16)));
  await sql`create role ${sql.id(login)} login password ${verifier} in role ${sql.id(role)}`.execute(db);
  return ok({ login, role, password_file: path });
};

const prepareIn = async (
  db: Kysely<RecordTables>,
  address: PostgresAddress,
  wishes: PrepareWishes,
): Promise<Result<PreparedDatabase, Fault>> => {
  const migrations = await migrate(db, "postgres");
  await db.transaction().execute(async (inside) => {
    for (const statement of PROTECTION) await sql.raw(statement).execute(inside);
    await grantRights(inside as Kysely<RecordTables>, address.database);
  });
  if (await mayMakeTables(db, address.database)) {
    return err(
      fault("refused", "not-allowed", `Every login may make tables in ${address.name}.`, {
        means: "That is how PostgreSQL was before version 15; the roles would allow more than they say.",
        remedy: `As administrator of the server, in this database: REVOKE CREATE ON SCHEMA public FROM PUBLIC. Then run this again.`,
      }),
    );
  }
  const { bench, reader } = rolesOf(address.database);
  const wanted = [
    ...wishes.benches.map((login) => ({ login, role: bench })),
    ...wishes.readers.map((login) => ({ login, role: reader })),
  ];
  const made: PreparedDatabase["made"][number][] = [];
  const known: string[] = [];
  for (const { login, role } of wanted) {
    if (await roleExists(db, login)) {
      await sql`grant ${sql.id(role)} to ${sql.id(login)}`.execute(db);
      known.push(login);
      continue;
    }
    const one = await makeLogin(db, address, login, role, wishes.passwords);
    if (!one.ok) return one;
    made.push(one.value);
  }
  return ok({ migrations, made, known });
};

export const prepareDatabase = async (
  address: PostgresAddress,
  wishes: PrepareWishes,
): Promise<Result<PreparedDatabase, Fault>> => {
  const odd = [...wishes.benches, ...wishes.readers].find((login) => !LOGIN.test(login));
  if (odd !== undefined) {
    return err(
      fault("refused", "bad-option", `"${odd}" cannot be a login.`, {
        remedy: "Use lower-case letters, digits and underscores, a letter first.",
      }),
    );
  }
  const shared = openShared(address, { connections: 1 });
  try {
    return await prepareIn(shared.db, address, wishes);
  } catch (error) {
    return err(postgresTrouble(error, address.name).fault);
  } finally {
    await shared.close();
  }
};
