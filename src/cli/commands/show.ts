import { knownParts } from "../../app/known-parts.ts";
import { stagePlot } from "../../app/records/queries/error-plot.ts";
import { runJson, runText } from "../../app/records/queries/run-text.ts";
import { viewRun } from "../../app/records/queries/run-view.ts";
import { jsonText } from "../../app/text-table.ts";
import { EXIT } from "../exit-codes.ts";
import { addRecordsOptions, type RecordsArguments, withRecords } from "../records-options.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options extends RecordsArguments {
  readonly plot?: boolean;
  readonly json?: boolean;
}

/** Shows one run: who, what, with which instruments, every point, what departed from the plan, which certificates. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addRecordsOptions(command.argument("<run>", "name of the run, or its beginning; `stillpoint find` lists them"))
    .option("--plot", "also draw the error against the input")
    .option("--json", "print everything unrounded as one JSON document")
    .action(async (named: string, options: Options) => {
      const view = await withRecords(options, ({ db }) => viewRun(db, named, knownParts()));
      if (!view.ok) return finish(sayFault(streams, view.fault));
      if (options.json) say(streams.out, jsonText(runJson(view.value)));
      else {
        for (const line of runText(view.value)) say(streams.out, line);
        for (const { stage, result } of options.plot ? view.value.stages : []) {
          say(streams.out, `\n${stage === "as-found" ? "As found" : "As left"}`);
          for (const line of stagePlot(result, streams.columns())) say(streams.out, line);
        }
      }
      finish(EXIT.success);
    });
};
