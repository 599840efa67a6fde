import { type Expression, type ExpressionBuilder, type SqlBool, sql } from "kysely";
import type { RecordDatabase, RecordTables, RunsTable } from "../tables.ts";
import { type CertificateOfRun, certificatesOf } from "./certificates-of.ts";

/** What a run is looked for by; all that is named has to be so. A `*` at the end of a word stands for any rest. */
export interface RunCriteria {
  readonly serial?: string | undefined;
  readonly tag?: string | undefined;
  readonly model?: string | undefined;
  readonly customer?: string | undefined;
  readonly batch?: string | undefined;
  readonly operator?: string | undefined;
  readonly verdict?: string | undefined;
  /** First and last day or instant of the beginning of the run, ISO 8601, UTC; both included. */
  readonly from?: string | undefined;
  readonly to?: string | undefined;
  /** Serial number of a reference that was used, or number of its certificate. */
  readonly reference?: string | undefined;
  /** Words, or parts of words; each has to be somewhere in the run's text. */
  readonly text?: string | undefined;
  /** At most so many, the newest first. */
  readonly limit?: number | undefined;
}

export interface FoundRun extends Omit<RunsTable, "search_text" | "facts"> {
  readonly certificates: readonly CertificateOfRun[];
}

export interface FoundRuns {
  readonly runs: readonly FoundRun[];
  /** There are others than these. */
  readonly more: boolean;
}

/** Columns of a run that a person reads. */
const SHOWN_COLUMNS = [
  "run_id",
  "bench_id",
  "station",
  "kind",
  "started_utc",
  "ended_utc",
  "ending",
  "simulated",
  "operator",
  "unit_serial",
  "unit_tag",
  "unit_model",
  "unit_maker",
  "customer",
  "batch",
  "verdict_found",
  "verdict_left",
  "verdict",
  "largest_error_percent",
  "next_due",
  "events",
  "head",
  "software_version",
] as const;

const COLUMN_OF = {
  serial: "unit_serial",
  tag: "unit_tag",
  model: "unit_model",
  customer: "customer",
  batch: "batch",
  operator: "operator",
  verdict: "verdict",
} as const;

type Runs = ExpressionBuilder<RecordTables, "runs">;

/** After every text that begins with the same letters; both databases order by bytes. */
const AFTER = "\u{10FFFF}";

/** A word as it is, or what begins with it. */
const matches = (eb: Runs, column: (typeof COLUMN_OF)[keyof typeof COLUMN_OF], wanted: string): Expression<SqlBool> => {
  if (!wanted.endsWith("*")) return eb(column, "=", wanted);
  const begin = wanted.slice(0, -1);
  return eb.and([eb(column, ">=", begin), eb(column, "<", begin + AFTER)]);
};

/** The words of a text as they are looked for: in lower case, each once. */
const wordsOf = (text: string): readonly string[] => [
  ...new Set(
    text
      .toLowerCase()
      .split(/\s+/u)
      .filter((w) => w !== ""),
  ),
];

const anywhere = (word: string): string => `%${word.replaceAll(/[\\%_]/gu, "\\$&")}%`;

/** A day includes its last moment. */
const lastMoment = (to: string): string => (/^\d{4}-\d{2}-\d{2}$/u.test(to) ? `${to}T~` : to);

const conditions = (eb: Runs, criteria: RunCriteria): Expression<SqlBool> => {
  const all: Expression<SqlBool>[] = [];
  for (const [name, column] of Object.entries(COLUMN_OF)) {
    const wanted = criteria[name as keyof typeof COLUMN_OF];
    if (wanted !== undefined) all.push(matches(eb, column, wanted));
  }
  if (criteria.from !== undefined) all.push(eb("started_utc", ">=", criteria.from));
  if (criteria.to !== undefined) all.push(eb("started_utc", "<=", lastMoment(criteria.to)));
  const { reference } = criteria;
  if (reference !== undefined) {
    const used = eb
      .selectFrom("references_used")
      .select("references_used.run_id")
      .whereRef("references_used.run_id", "=", "runs.run_id")
      .where((e) => e.or([e("serial_number", "=", reference), e("certificate_number", "=", reference)]));
    all.push(eb.exists(used));
  }
  for (const word of wordsOf(criteria.text ?? "")) {
    all.push(sql<SqlBool>`${eb.ref("search_text")} like ${anywhere(word)} escape '\\'`);
  }
  return eb.and(all);
};

const byNewest = (a: Pick<RunsTable, "started_utc" | "run_id">, b: typeof a): number =>
  a.started_utc === b.started_utc ? (a.run_id < b.run_id ? 1 : -1) : a.started_utc < b.started_utc ? 1 : -1;

/** Runs with the certificates made from them, the newest first. Throws what the database throws. */
export const findRuns = async (db: RecordDatabase, criteria: RunCriteria): Promise<FoundRuns> => {
  const { limit } = criteria;
  // Which runs is answered from an index where it can be; only those that are shown are read whole.
  const matching = db
    .selectFrom("runs")
    .select("run_id")
    .where((eb) => conditions(eb, criteria));
  const newest = (count: number) => matching.orderBy("started_utc", "desc").orderBy("run_id", "desc").limit(count);
  const rows = await db
    .selectFrom("runs")
    .select(SHOWN_COLUMNS)
    .where("run_id", "in", limit === undefined ? matching : newest(limit + 1))
    .execute();
  const shown = rows.toSorted(byNewest).slice(0, limit);
  const certificates = await certificatesOf(db, limit === undefined ? matching : newest(limit));
  return {
    runs: shown.map((run) => ({ ...run, certificates: certificates.get(run.run_id) ?? [] })),
    more: rows.length > shown.length,
  };
};
