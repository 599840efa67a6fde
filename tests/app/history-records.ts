import { runVirtualJob } from "../../src/app/virtual-job.ts";
import { must, type PracticeWishes, practiceJob } from "./practice-job.ts";

export interface Visit {
  /** Day of the run, YYYY-MM-DD. */
  readonly date: string;
  /** Errors of zero and span that the unit shows on that day, % of output span. */
  readonly zero_error: number;
  readonly span_error: number;
  readonly adjust?: "never" | "always";
  readonly more?: PracticeWishes["converter"];
}

/** Record of one calibration of the practice unit on the virtual bench, as its file holds it. */
export const recordOfVisit = async ({ date, zero_error, span_error, adjust, more }: Visit): Promise<string> => {
  const job = practiceJob(
    { seed: Number(date.replaceAll("-", "")), converter: { zero_error, span_error, ...more } },
    { adjust: adjust ?? "never" },
  );
  const lines: string[] = [];
  must(
    await runVirtualJob(job, {
      run_id: `visit-${date}`,
      utc_zero_ms: Date.parse(`${date}T08:00:00Z`),
      keep: (line) => {
        lines.push(line);
        return null;
      },
    }),
  );
  return `${lines.join("\n")}\n`;
};

/** Five visits half a year apart: zero drifts by 0.13 % of span a year; adjusted at the fourth. */
export const VISITS: readonly Visit[] = [
  { date: "2024-01-10", zero_error: 0.1, span_error: -0.1 },
  { date: "2024-07-09", zero_error: 0.17, span_error: -0.1 },
  { date: "2025-01-14", zero_error: 0.22, span_error: -0.1 },
  { date: "2025-07-08", zero_error: 0.3, span_error: -0.1, adjust: "always" },
];
