import { runVirtualJob } from "../../src/app/virtual-job.ts";
import { must, type PracticeWishes, practiceJob } from "./practice-job.ts";

export interface Visit {
  /** Day of the run, YYYY-MM-DD. */
  readonly date: string;
  readonly serial_number?: string;
  readonly tag?: string;
  readonly adjust?: "never" | "when-needed" | "always";
  readonly converter?: PracticeWishes["converter"];
}

/** Record of one calibration of a made-up unit on the virtual bench, as its file holds it. */
export const recordOfVisit = async (visit: Visit): Promise<string> => {
  const job = practiceJob(
    { seed: Number(visit.date.replaceAll("-", "")), converter: visit.converter ?? {} },
    { adjust: visit.adjust ?? "never" },
  );
  const lines: string[] = [];
  must(
    await runVirtualJob(
      { ...job, files: job.files },
      {
        run_id: `visit-${visit.serial_number ?? "practice"}-${visit.date}`,
        utc_zero_ms: Date.parse(`${visit.date}T08:00:00Z`),
        keep: (line) => {
          lines.push(line);
          return null;
        },
      },
    ),
  );
  return `${lines.join("\n")}\n`;
};
