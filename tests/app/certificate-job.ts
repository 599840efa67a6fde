import { createHash } from "node:crypto";
import { runVirtualJob } from "../../src/app/virtual-job.ts";
import { must, practiceJob } from "./practice-job.ts";

const digest = (text: string): string => createHash("sha256").update(text).digest("hex");

interface FileInRecord {
  role: string;
  text: string;
  sha256: string;
}

/** A bench file as if its instruments were real, and a unit file that names its owner's address. */
const retold = (file: FileInRecord): FileInRecord => {
  const text =
    file.role === "bench"
      ? file.text.replaceAll("port: simulated", "port: /dev/ttyUSB0").replace(/^simulation:[\s\S]*/m, "")
      : file.role === "unit"
        ? file.text.replace(
            /^( *)customer: .*$/m,
            "$&\n$1customer_contact: Cellar office, 12 Cooper's Lane, Millbridge",
          )
        : file.text;
  return { ...file, text, sha256: digest(text) };
};

/** Text of the record of a practice run on the virtual clock. */
export const practiceRecord = async (): Promise<string> => {
  const lines: string[] = [];
  const keep = (line: string): null => {
    lines.push(line);
    return null;
  };
  const job = practiceJob();
  must(await runVirtualJob(job, { run_id: "20261125-0900-HC15", utc_zero_ms: Date.UTC(2026, 10, 25, 9), keep }));
  return `${lines.join("\n")}\n`;
};

/**
 * The same run retold as if a real bench stood behind it, because only real readings can be issued. For tests of what
 * happens to certificates alone: nothing else may take the marks of the simulation out of a record.
 */
export const asIfReal = (record: string): string =>
  record
    .split("\n")
    .map((line) => {
      if (line === "") return line;
      const recorded = JSON.parse(line) as { event: Record<string, unknown> };
      const { event } = recorded;
      if ("simulated" in event) event["simulated"] = false;
      if (event["kind"] === "run-started") {
        Object.assign(event, { clock: "wall", clock_factor: 1, files: (event["files"] as FileInRecord[]).map(retold) });
      }
      return JSON.stringify(recorded);
    })
    .join("\n");
