import { findRuns } from "../../app/records/queries/find-runs.ts";
import { foundText, traceText } from "../../app/records/queries/find-text.ts";
import { ok } from "../../vocabulary/result.ts";
import { EXIT } from "../exit-codes.ts";
import { dayOrInstant, wholeNumber } from "../option-values.ts";
import { addRecordsOptions, type RecordsArguments, withRecords } from "../records-options.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options extends RecordsArguments {
  readonly serial?: string;
  readonly tag?: string;
  readonly model?: string;
  readonly customer?: string;
  readonly batch?: string;
  readonly operator?: string;
  readonly verdict?: string;
  readonly reference?: string;
  readonly from?: string;
  readonly to?: string;
  readonly limit?: number;
  readonly json?: boolean;
}

/** Where a trace forward leads is shown to its end. */
const LIMIT = 100;

const HELP = `
All that is named has to be so; a word may end in * for any rest. Without anything the newest runs are listed.

Examples:
  stillpoint find
  stillpoint find --serial 20431 --from 2026-01-01
  stillpoint find --model "HC-*" --verdict fail
  stillpoint find cellar pump
  stillpoint find --reference G-1077 --from 2026-03-01 --to 2026-06-30
The last one traces forward from a reference that was found bad: every run it was used in, and every certificate that rests on it.
`;

/** Finds runs in the records of a bench or in the shared ones. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addRecordsOptions(command.argument("[text...]", "words or parts of words that the run's text holds"))
    .option("--serial <number>", "serial number of the unit")
    .option("--tag <tag>", "tag of the unit")
    .option("--model <name>", "model of the unit")
    .option("--customer <name>", "who owns the unit")
    .option("--batch <name>", "batch or order")
    .option("--operator <name>", "who measured")
    .option("--verdict <word>", "pass, conditional-pass, conditional-fail, fail or no-statement")
    .option("--reference <number>", "serial number of a reference that was used, or number of its certificate")
    .option("--from <day>", "begun on this day or later, YYYY-MM-DD, UTC", dayOrInstant)
    .option("--to <day>", "begun on this day or before, YYYY-MM-DD, UTC", dayOrInstant)
    .option("--limit <n>", `at most so many, the newest (${LIMIT}; all with --reference)`, wholeNumber)
    .option("--json", "print one JSON document")
    .addHelpText("after", HELP)
    .action(async (text: readonly string[], { json, ...options }: Options) => {
      const { reference } = options;
      const limit = options.limit ?? (reference === undefined ? LIMIT : undefined);
      const found = await withRecords(options, async ({ db }) =>
        ok(await findRuns(db, { ...options, limit, text: text.join(" ") })),
      );
      if (!found.ok) return finish(sayFault(streams, found.fault));
      if (json) {
        const runs = found.value.runs.map((run) => ({ ...run, simulated: run.simulated === 1 }));
        say(streams.out, JSON.stringify({ format: "stillpoint-runs 1", runs, more: found.value.more }));
      } else {
        for (const line of foundText(found.value)) say(streams.out, line);
        if (reference !== undefined) for (const line of traceText(found.value, reference)) say(streams.out, line);
      }
      finish(EXIT.success);
    });
};
