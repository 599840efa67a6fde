import { existsSync } from "node:fs";
import { dueCalendar } from "../../app/due-calendar.ts";
import { type DueRow, dueList } from "../../app/due-list.ts";
import { dueCsv, dueText } from "../../app/due-text.ts";
import { benchDueRows, factsAtHand } from "../../app/history-source.ts";
import { knownParts } from "../../app/known-parts.ts";
import { fault } from "../../vocabulary/fault.ts";
import { ok } from "../../vocabulary/result.ts";
import { EXIT } from "../exit-codes.ts";
import { addIntervalOptions, dayValue, type IntervalOptions, sayUnreadable, withSource } from "../history-options.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options extends IntervalOptions {
  readonly bench?: readonly string[];
  readonly until?: string;
  readonly today?: string;
  readonly json?: boolean;
  readonly csv?: boolean;
  readonly ics?: boolean;
}

const collect = (path: string, before: readonly string[] = []): readonly string[] => [...before, path];

/** What is overdue, due and soon due: units by their last calibrations, references by their certificates. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addIntervalOptions(command, "how the dates are found; fixed if left out")
    .argument("[records...]", "files of records; those of the bench if none is named")
    .option("--bench <file>", "bench file whose references are listed too; may be given again", collect)
    .option("--until <day>", "only what is due on this day or before", dayValue)
    .option("--today <day>", "the day to count from, if not today", dayValue)
    .option("--json", "print one JSON document")
    .option("--csv", "print CSV")
    .option("--ics", "print an iCalendar file")
    .action(async (paths: readonly string[], options: Options) => {
      const benches = options.bench ?? [];
      const refuse = (message: string, remedy: string): void =>
        finish(sayFault(streams, fault("refused", "bad-option", message, { remedy })));
      if ([options.json, options.csv, options.ics].filter((o) => o === true).length > 1) {
        return refuse("Only one of --json, --csv and --ics can be printed.", "Leave out all but one.");
      }
      const now = new Date();
      const today = options.today ?? now.toISOString().slice(0, 10);
      const rows: DueRow[] = [];
      for (const path of benches) {
        const own = benchDueRows(path, knownParts());
        if (!own.ok) return finish(sayFault(streams, own.fault));
        rows.push(...own.value);
      }
      // Without records there still are the references of the bench files.
      const none = paths.length === 0 && options.database === undefined && !existsSync(options.records);
      const given = command.getOptionValueSource("records") !== "default";
      const wishes = {
        today,
        until: options.until,
        method: options.method ?? "fixed",
        months: options.interval,
        target: options.target,
      };
      const list =
        none && !given && benches.length > 0
          ? ok(await dueList(factsAtHand({ facts: [], unreadable: [] }), rows, wishes))
          : await withSource(options, paths, async (source) => ok(await dueList(source, rows, wishes)));
      if (!list.ok) return finish(sayFault(streams, list.fault));
      const { items, unreadable } = list.value;
      const code = sayUnreadable(streams, unreadable);
      if (options.json) say(streams.out, JSON.stringify({ format: "stillpoint-due 1", today, items }));
      else if (options.csv) streams.out.write(dueCsv(items));
      else if (options.ics) streams.out.write(dueCalendar(items, now.getTime()));
      else for (const line of dueText(items, today, options.until)) say(streams.out, line);
      finish(code ?? EXIT.success);
    });
};
