import { diagnoseRecords, diagnosisText } from "../../app/diagnose-records.ts";
import { readText } from "../../app/job-files.ts";
import { knownParts } from "../../app/known-parts.ts";
import { EXIT } from "../exit-codes.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

/** Says what the records of one unit point to, as opinion, from calibration and tests together. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  command
    .argument("<records...>", "records of one unit: calibration, tests, or both")
    .option("--json", "print the opinions as one JSON document")
    .action((paths: readonly string[], options: { readonly json?: boolean }) => {
      const texts: string[] = [];
      for (const path of paths) {
        const text = readText(path);
        if (!text.ok) return finish(sayFault(streams, text.fault));
        texts.push(text.value);
      }
      const found = diagnoseRecords(texts, knownParts());
      if (!found.ok) return finish(sayFault(streams, found.fault));
      if (options.json) say(streams.out, JSON.stringify({ format: "stillpoint-opinion 1", ...found.value }));
      else for (const line of diagnosisText(found.value)) say(streams.out, line);
      finish(EXIT.success);
    });
};
