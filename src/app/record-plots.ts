import type { KnownParts } from "../config/known-drivers.ts";
import { transferOf } from "../config/unit-values.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import { filesOf, readRecord } from "./certify.ts";
import { type ExaminationPlot, examinationPlots } from "./examination-plot.ts";

/** The drawings of one test of a record. */
export interface TestPlots {
  /** `SIMULATED  maker model serial: title (run)`. */
  readonly heading: string;
  /** A name for a file, of run and test. */
  readonly name: string;
  readonly plots: readonly ExaminationPlot[];
}

/** Everything that can be drawn of the tests in a record, long after they were run. */
export const recordPlots = (text: string, known: KnownParts): Result<readonly TestPlots[], Fault> => {
  const record = readRecord(text);
  if (!record.ok) return record;
  const files = filesOf(record.value, known);
  if (!files.ok) return files;
  const { unit } = files.value;
  const { maker, model, serial_number } = unit.identity;
  const { header, simulated, examinations } = record.value;
  return ok(
    examinations
      .map((examination, i) => ({
        heading: `${simulated ? "SIMULATED  " : ""}${maker} ${model} ${serial_number}: ${examination.title} (run ${header.run_id})`,
        name: `${header.run_id}-${i + 1}-${examination.test}`,
        plots: examinationPlots(transferOf(unit), examination),
      }))
      .filter(({ plots }) => plots.length > 0),
  );
};
