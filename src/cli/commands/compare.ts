import { knownParts } from "../../app/known-parts.ts";
import { compareRuns } from "../../app/records/queries/compare-runs.ts";
import { compareText } from "../../app/records/queries/compare-text.ts";
import { type RunView, viewRun } from "../../app/records/queries/run-view.ts";
import { jsonText } from "../../app/text-table.ts";
import { ok } from "../../vocabulary/result.ts";
import { EXIT } from "../exit-codes.ts";
import { addRecordsOptions, type RecordsArguments, withRecords } from "../records-options.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options extends RecordsArguments {
  readonly plot?: boolean;
  readonly json?: boolean;
}

const idOf = ({ whole, record }: RunView) => ({ run_id: whole.run.run_id, simulated: record.simulated });

/** Sets two runs against each other, point by point. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addRecordsOptions(
    command
      .argument("<first>", "name of a run, or its beginning")
      .argument("<second>", "name of the run that is set against it"),
  )
    .option("--plot", "also draw both errors against the input")
    .option("--json", "print everything unrounded as one JSON document")
    .action(async (one: string, two: string, options: Options) => {
      const both = await withRecords(options, async ({ db }) => {
        const first = await viewRun(db, one, knownParts());
        if (!first.ok) return first;
        const second = await viewRun(db, two, knownParts());
        return second.ok ? ok({ first: first.value, second: second.value }) : second;
      });
      if (!both.ok) return finish(sayFault(streams, both.fault));
      const { first, second } = both.value;
      const comparison = compareRuns(first, second);
      if (options.json) {
        const document = { format: "stillpoint-comparison 1", first: idOf(first), second: idOf(second), ...comparison };
        say(streams.out, jsonText(document));
      } else {
        const look = { plot: options.plot === true, width: streams.columns() };
        for (const line of compareText(first, second, comparison, look)) say(streams.out, line);
      }
      finish(EXIT.success);
    });
};
