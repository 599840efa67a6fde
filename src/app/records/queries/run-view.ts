import type { StageResult } from "../../../certificate/certificate-input.ts";
import type { KnownParts } from "../../../config/known-drivers.ts";
import type { UnitFile } from "../../../config/unit-file.schema.ts";
import { transferOf } from "../../../config/unit-values.ts";
import { parseDecisionRule } from "../../../decision/decision-rule.ts";
import { gaugeZeroOf } from "../../../readings/gauge-zero.ts";
import { type RunRecord, stageOf } from "../../../readings/run-record.ts";
import { type Fault, fault } from "../../../vocabulary/fault.ts";
import type { Stage } from "../../../vocabulary/reading.ts";
import { err, ok, type Result } from "../../../vocabulary/result.ts";
import type { Transfer } from "../../../vocabulary/signal-range.ts";
import { filesOf, readRecord } from "../../certify.ts";
import { evaluateStage } from "../../evaluate-record.ts";
import { readWholeRun, type WholeRun } from "../ship-run.ts";
import type { RecordDatabase } from "../tables.ts";
import { type CertificateOfRun, certificatesOf } from "./certificates-of.ts";

/** One run as its record tells it, every figure worked out anew from the events. */
export interface RunView {
  readonly whole: WholeRun;
  readonly record: RunRecord;
  readonly unit: UnitFile;
  readonly transfer: Transfer;
  /** As found and as left, those that gave readings. */
  readonly stages: readonly { readonly stage: Stage; readonly result: StageResult }[];
  readonly certificates: readonly CertificateOfRun[];
}

const AFTER = "\u{10FFFF}";
const LISTED = 5;

const refused = (message: string, remedy: string): Result<never, Fault> =>
  err(fault("refused", "bad-option", message, { remedy }));

/** The run that a name or its beginning means. */
const idOf = async (db: RecordDatabase, named: string): Promise<Result<string, Fault>> => {
  const ids = (table: "runs" | "events") =>
    db
      .selectFrom(table)
      .select("run_id")
      .distinct()
      .where("run_id", ">=", named)
      .where("run_id", "<", named + AFTER)
      .orderBy("run_id")
      .limit(LISTED + 1)
      .execute();
  const found = (await ids("runs")).map(({ run_id }) => run_id);
  const [first] = found;
  if (first !== undefined && (found.length === 1 || first === named)) return ok(first);
  if (first !== undefined) {
    const more = found.length > LISTED ? ", ..." : "";
    return refused(
      `"${named}" is the beginning of more than one run: ${found.slice(0, LISTED).join(", ")}${more}.`,
      "Write more of the name.",
    );
  }
  const [open] = await ids("events");
  return open === undefined
    ? refused(`There is no run "${named}".`, "`stillpoint find` lists the runs there are.")
    : refused(`Run ${open.run_id} has not ended.`, "Let it end, or go on with it: stillpoint resume.");
};

const resultsOf = (record: RunRecord, known: KnownParts): Result<Pick<RunView, "unit" | "stages">, Fault> => {
  const files = filesOf(record, known);
  if (!files.ok) return files;
  const rule = parseDecisionRule(record.header.decision_rule);
  if (!rule.ok) return rule;
  const basis = { ...files.value, station: record.header.station, rule: rule.value, ...gaugeZeroOf(record) };
  const stages: RunView["stages"][number][] = [];
  for (const stage of ["as-found", "as-left"] as const) {
    const taken = stageOf(record, stage);
    if (taken === undefined || taken.points.length === 0) continue;
    const result = evaluateStage(taken, basis);
    if (!result.ok) return result;
    stages.push({ stage, result: result.value });
  }
  return ok({ unit: files.value.unit, stages });
};

/** A run by its name or the beginning of it; refuses one whose chain is not whole. Throws what the database throws. */
export const viewRun = async (
  db: RecordDatabase,
  named: string,
  known: KnownParts,
): Promise<Result<RunView, Fault>> => {
  const id = await idOf(db, named);
  if (!id.ok) return id;
  const whole = await readWholeRun(db, id.value);
  if (!whole.ok) return whole;
  const record = readRecord(whole.value.events.map(({ body }) => `${body}\n`).join(""));
  if (!record.ok) return record;
  const results = resultsOf(record.value, known);
  if (!results.ok) return results;
  const certificates = await certificatesOf(db, db.selectFrom("runs").select("run_id").where("run_id", "=", id.value));
  return ok({
    whole: whole.value,
    record: record.value,
    ...results.value,
    transfer: transferOf(results.value.unit),
    certificates: certificates.get(id.value) ?? [],
  });
};
