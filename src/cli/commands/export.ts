import { exportRecords } from "../../app/records/export-records.ts";
import { collect } from "../certificate-options.ts";
import { EXIT } from "../exit-codes.ts";
import { neededOption } from "../needed-option.ts";
import { RECORDS_FILE } from "../records-options.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

/** Writes records out for whoever wants to read or prove them without this program. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  command.option("--records <file>", "records of a bench", RECORDS_FILE);
  neededOption(command, "--output <folder>", "new folder for the copy")
    .option("--run <id>", "this run only; may be repeated", collect)
    .addHelpText(
      "after",
      `
The copy holds JSON Lines and CSV, public keys and signatures, a page about the format, and verify.mjs, which checks it with
Node alone: node FOLDER/verify.mjs
`,
    )
    .action(async (options: { records: string; output: string; run?: readonly string[] }) => {
      const done = await exportRecords(options.records, options.output, { runs: options.run });
      if (!done.ok) return finish(sayFault(streams, done.fault));
      say(streams.out, `${done.value.runs} runs, ${done.value.events} events: ${options.output}`);
      say(streams.out, `Check it with: node ${options.output}/verify.mjs`);
      finish(EXIT.success);
    });
};
