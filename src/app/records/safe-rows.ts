import type { SqliteFile } from "./sqlite-file.ts";

/**
 * Reads rows of a store that may be damaged. The binding ends the whole program on a text that is not UTF-8, so texts are
 * fetched as bytes; what is of another type than it has to be comes as a text that says so.
 */

type Kind = "text" | "number";

export type SafeColumns = Readonly<Record<string, Kind>>;

const OF: Readonly<Record<Kind, readonly string[]>> = { text: ["text"], number: ["integer", "real"] };

const fetched = (column: string, kind: Kind): string =>
  kind === "text"
    ? `typeof(${column}), cast(${column} as blob)`
    : `typeof(${column}), case when typeof(${column}) in ('integer', 'real') then ${column} end`;

const read = (kind: Kind, type: unknown, value: unknown): unknown => {
  if (type === "null") return null;
  if (!OF[kind].includes(String(type))) return `a value of type ${String(type)}`;
  // An empty text comes as no bytes at all.
  return kind === "text" ? (value === null ? "" : Buffer.from(value as Uint8Array).toString("utf8")) : value;
};

/** `rest` is what follows the name of the table: conditions, order. Throws what SQLite throws. */
export const safeRows = <T>(
  file: SqliteFile,
  table: string,
  columns: SafeColumns,
  rest = "",
  ...values: readonly unknown[]
): readonly T[] => {
  const entries = Object.entries(columns);
  const query = `select ${entries.map(([name, kind]) => fetched(name, kind)).join(", ")} from ${table} ${rest}`;
  return file
    .prepare(query)
    .raw()
    .all(...values)
    .map((row) => {
      const cells = row as readonly unknown[];
      return Object.fromEntries(
        entries.map(([name, kind], i) => [name, read(kind, cells[2 * i], cells[2 * i + 1])]),
      ) as T;
    });
};

const texts = (names: string): SafeColumns => Object.fromEntries(names.split(" ").map((name) => [name, "text"]));

export const EVENT_ROW: SafeColumns = { seq: "number", body: "text", hash: "text" };
export const LEDGER_ROW: SafeColumns = { bench_id: "text", ...EVENT_ROW };
export const RUN_ROW: SafeColumns = {
  ...texts("run_id bench_id station kind started_utc ended_utc ending"),
  simulated: "number",
  ...texts("operator unit_serial unit_tag unit_model unit_maker customer batch verdict_found verdict_left verdict"),
  largest_error_percent: "number",
  next_due: "text",
  events: "number",
  ...texts("head software_version search_text facts"),
};
export const REFERENCE_ROW = texts("run_id role serial_number certificate_number due");
export const SIGNATURE_ROW = texts("run_id head public_key signature utc");
export const ACT_ROW: SafeColumns = {
  certificates_id: "text",
  seq: "number",
  ...texts("number act run_id utc body hash"),
};
