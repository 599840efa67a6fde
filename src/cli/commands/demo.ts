import { shipped } from "../../app/package-root.ts";
import { CAUTIONS } from "../../vocabulary/cautions.ts";
import { jobTitle, readJob } from "../job-options.ts";
import { positive } from "../option-values.ts";
import { runCalibration } from "../run-calibration.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

/** Simulated seconds per second: the whole job in about half a minute. */
const FACTOR = 25;

/** The whole job on the simulated bench, over a real serial line where the system has pseudo-terminals, else over TCP. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  command
    .option("--factor <n>", "simulated seconds per second", positive, FACTOR)
    .option("--output <folder>", "folder for record and certificate", "reports")
    .option("--records <file>", "file of the bench's records (default: records.sqlite in the output folder)")
    .option("--unit <file>", "unit file; one of a 3-15 psi converter when left out")
    .option("--tcp", "over Modbus TCP instead of a serial line")
    .option("--json", "print the result as one JSON document")
    .action(
      async (options: {
        factor: number;
        output: string;
        records?: string;
        unit?: string;
        tcp?: boolean;
        json?: boolean;
      }) => {
        const overTcp = options.tcp === true || process.platform === "win32";
        const args = {
          bench: shipped("bench-configs", overTcp ? "simulated-tcp.yaml" : "simulated-serial.yaml"),
          unit: options.unit ?? shipped("bench-configs", "ip-3-15-psi.yaml"),
          laboratory: shipped("bench-configs", "laboratory.yaml"),
          sequence: "up-down",
          settling: "detector",
          adjust: "when-needed",
          language: "en",
          paper: "A4",
          clock: "real",
          factor: options.factor,
          output: options.output,
          ...(options.records === undefined ? {} : { records: options.records }),
          ...(options.json === undefined ? {} : { json: options.json }),
        } as const;
        const job = readJob(args, "A. Technician");
        if (!job.ok) return finish(sayFault(streams, job.fault));
        say(streams.talk, `SIMULATED. ${jobTitle(job.value)}`);
        say(streams.talk, "Nothing real is driven. On a real bench these cautions wait for your yes:");
        for (const caution of CAUTIONS) say(streams.talk, `  - ${caution}`);
        finish(await runCalibration(streams, job.value, args));
      },
    );
};
