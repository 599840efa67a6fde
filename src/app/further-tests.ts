import type { FurtherTest, Opinions } from "../certificate/further-test.ts";
import type { KnownParts } from "../config/known-drivers.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { filesOf, readRecord } from "./certify.ts";
import { diagnoseRecords } from "./diagnose-records.ts";
import { examinationPlots } from "./examination-plot.ts";
import { examinationReport } from "./examination-report.ts";
import { prepareJob } from "./prepare-job.ts";

/** What is put on a certificate beside its results. */
export interface Further {
  readonly tests: readonly FurtherTest[];
  readonly opinions?: Opinions;
}

const refused = (message: string, remedy: string): Result<never, Fault> =>
  err(fault("refused", "bad-option", message, { means: "Nothing was attached.", remedy }));

/**
 * The tests in these records, for the certificate of the calibration in `calibration`. Refuses a record of another unit,
 * one without a test, and simulated tests beside a real calibration.
 */
export const furtherTests = (
  calibration: string,
  records: readonly string[],
  known: KnownParts,
  withOpinions: boolean,
): Result<Further, Fault> => {
  const main = readRecord(calibration);
  if (!main.ok) return main;
  const own = filesOf(main.value, known);
  if (!own.ok) return own;
  const serial = own.value.unit.identity.serial_number;
  const tests: FurtherTest[] = [];
  for (const text of records) {
    const record = readRecord(text);
    if (!record.ok) return record;
    const { header, simulated, examinations } = record.value;
    const files = filesOf(record.value, known);
    if (!files.ok) return files;
    const theirs = files.value.unit.identity.serial_number;
    if (theirs !== serial)
      return refused(
        `The test ${header.run_id} is of ${theirs}, the calibration of ${serial}.`,
        "Name tests of this unit.",
      );
    if (simulated !== main.value.simulated)
      return refused(
        `The test ${header.run_id} is ${simulated ? "SIMULATED and the calibration is not" : "real and the calibration is SIMULATED"}.`,
        "Attach tests of the same bench.",
      );
    if (examinations.length === 0)
      return refused(`The record ${header.run_id} holds no test.`, "Name records of `stillpoint examine`.");
    const day = header.utc.slice(0, 10);
    const job = prepareJob(files.value, { operator: header.operator, station: header.station }, day);
    if (!job.ok) return job;
    for (const examination of examinations) {
      const { ending, test, title } = examination;
      tests.push({
        test,
        title,
        run_id: header.run_id,
        day,
        incomplete: ending?.outcome === "complete" ? null : (ending?.why ?? "the record stops inside it"),
        // The first line is the title, which the certificate sets for itself.
        findings: examinationReport(job.value, examination)
          .slice(1)
          .map((line) => line.trim()),
        drawings: examinationPlots(job.value.transfer, examination),
      });
    }
  }
  if (!withOpinions) return ok({ tests });
  const diagnosed = diagnoseRecords([...records, calibration], known);
  if (!diagnosed.ok) return diagnosed;
  const { opinions, not_looked_at } = diagnosed.value.diagnosis;
  return ok({
    tests,
    opinions: { items: opinions.map(({ words, figures }) => ({ words, figures })), not_looked_at },
  });
};
