import { examinationPlots } from "../app/examination-plot.ts";
import { plotsSvg } from "../app/examination-plot-svg.ts";
import { plotText } from "../app/examination-plot-text.ts";
import { examinationReport } from "../app/examination-report.ts";
import type { Job } from "../app/prepare-job.ts";
import type { JobOutcome } from "../app/run-job.ts";
import { writeWhole } from "../app/write-whole.ts";
import { sayFault } from "./say-fault.ts";
import { type Streams, say } from "./streams.ts";

/** A test that was run: its figures in sentences, its plots, and the same plots as a drawing beside the record. */
export const showExaminations = async (
  streams: Streams,
  job: Job,
  { record }: Pick<JobOutcome, "record">,
  recordPath: string,
): Promise<void> => {
  for (const examination of record.examinations) {
    const mark = record.simulated ? "SIMULATED  " : "";
    if (record.simulated) say(streams.out, "SIMULATED");
    for (const line of examinationReport(job, examination)) say(streams.out, line);
    const plots = examinationPlots(job.transfer, examination);
    for (const plot of plots) for (const line of ["", ...plotText(plot, streams.columns())]) say(streams.out, line);
    if (plots.length === 0) continue;
    const { maker, model, serial_number } = job.unit.identity;
    const path = recordPath.replace(/\.record\.jsonl$/u, ".svg");
    const written = await writeWhole(
      path,
      plotsSvg(plots, `${mark}${maker} ${model} ${serial_number}: ${examination.title}`),
    );
    if (written.ok) say(streams.out, `Plots: ${path}`);
    else sayFault(streams, written.fault);
  }
};
