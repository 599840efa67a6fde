import { join } from "node:path";
import { diagnoseRecords, diagnosisText } from "../../app/diagnose-records.ts";
import { plotsSvg } from "../../app/examination-plot-svg.ts";
import { plotText } from "../../app/examination-plot-text.ts";
import { readText } from "../../app/job-files.ts";
import { knownParts } from "../../app/known-parts.ts";
import { recordPlots } from "../../app/record-plots.ts";
import { writeWhole } from "../../app/write-whole.ts";
import { EXIT } from "../exit-codes.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly json?: boolean;
  readonly plot?: boolean;
  readonly svg?: string;
}

/** Says what the records of one unit point to, as opinion, from calibration and tests together. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  command
    .argument("<records...>", "records of one unit: calibration, tests, or both")
    .option("--json", "print the opinions as one JSON document")
    .option("--plot", "draw the tests in the terminal as well")
    .option("--svg <folder>", "write a drawing of each test there")
    .action(async (paths: readonly string[], options: Options) => {
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
      if (options.json) return finish(EXIT.success);
      for (const text of texts) {
        const drawn = recordPlots(text, knownParts());
        if (!drawn.ok) return finish(sayFault(streams, drawn.fault));
        for (const { heading, name, plots } of drawn.value) {
          if (options.plot)
            for (const line of ["", heading, ...plots.flatMap((p) => ["", ...plotText(p, streams.columns())])])
              say(streams.out, line);
          if (options.svg === undefined) continue;
          const written = await writeWhole(join(options.svg, `${name}.svg`), plotsSvg(plots, heading), "replace");
          if (!written.ok) return finish(sayFault(streams, written.fault));
          say(streams.out, written.value);
        }
      }
      finish(EXIT.success);
    });
};
