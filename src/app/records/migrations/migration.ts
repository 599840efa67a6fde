import { type ColumnDataType, type CreateTableBuilder, type Kysely, sql } from "kysely";

/** A step from one version of the tables to the next. Forward only; the numbers in front of the names give the order. */
export interface RecordMigration {
  /** `0001-records`: number and purpose. */
  readonly name: string;
  readonly up: (db: Kysely<unknown>, dialect: DialectHelp) => Promise<void>;
}

/** Where the two databases are not alike. */
export interface DialectHelp {
  readonly kind: "sqlite" | "postgres";
  /** Whole numbers up to 2^53. */
  readonly integer: ColumnDataType;
  readonly double: ColumnDataType;
  /** Orders and compares by bytes in both, whatever the locale of the server is. */
  readonly text: ColumnDataType | ReturnType<typeof sql>;
  /** Rows lie in the tree of their key: one copy of everything, read in its order. */
  readonly keyed: <T extends string, C extends string>(table: CreateTableBuilder<T, C>) => CreateTableBuilder<T, C>;
  /** Refuses changes of rows, and rows that would take the place of another with the same key. In PostgreSQL: roles. */
  readonly addOnly: (db: Kysely<unknown>, table: string, key?: readonly string[]) => Promise<void>;
}

const sqlite: DialectHelp = {
  kind: "sqlite",
  integer: "integer",
  double: "real",
  text: "text",
  keyed: (table) => table.modifyEnd(sql`strict, without rowid`),
  addOnly: async (db, table, key = []) => {
    for (const act of ["update", "delete"]) {
      await sql`create trigger ${sql.id(`${table}_no_${act}`)} before ${sql.raw(act)} on ${sql.table(table)}
        begin select raise(abort, 'records are never changed'); end`.execute(db);
    }
    if (key.length === 0) return;
    // "insert or replace" deletes without asking the trigger on deletion.
    const same = sql.join(
      key.map((column) => sql`${sql.ref(column)} = new.${sql.ref(column)}`),
      sql` and `,
    );
    await sql`create trigger ${sql.id(`${table}_no_replace`)} before insert on ${sql.table(table)}
      when exists (select 1 from ${sql.table(table)} where ${same})
      begin select raise(abort, 'records are never changed'); end`.execute(db);
  },
};

const postgres: DialectHelp = {
  kind: "postgres",
  integer: "integer",
  double: "double precision",
  text: sql`text collate "C"`,
  keyed: (table) => table,
  addOnly: async () => {},
};

export const dialectHelp = (kind: DialectHelp["kind"]): DialectHelp => (kind === "sqlite" ? sqlite : postgres);
