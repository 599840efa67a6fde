import { historyJson } from "../../app/history-json.ts";
import { historyReports } from "../../app/history-report.ts";
import { historyText, plottedPoint } from "../../app/history-text.ts";
import { isDay } from "../../app/history-words.ts";
import { readText } from "../../app/job-files.ts";
import { parseUseReadings } from "../../app/use-readings.ts";
import { fault } from "../../vocabulary/fault.ts";
import { ok } from "../../vocabulary/result.ts";
import { EXIT } from "../exit-codes.ts";
import { addIntervalOptions, type IntervalOptions, sayUnreadable, withSource } from "../history-options.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options extends IntervalOptions {
  readonly point?: string;
  readonly use?: string;
  readonly interrupted?: readonly string[];
  readonly json?: boolean;
}

const collect = (text: string, before: readonly string[] = []): readonly string[] => [...before, text];

/** Drift of a unit as it was found, when it may leave its limits, and the recalibration interval by each method. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addIntervalOptions(command, "show this method only, and draw up to its date; all side by side if left out")
    .argument("<unit>", "serial number or tag of the unit")
    .argument("[records...]", "files of records, of it and of others of its model; those of the bench if none is named")
    .option("--point <name>", 'point to draw, such as "100 % rising"; the one that leads if left out')
    .option("--use <file>", "readings of an hour meter or counter, CSV: date,hours (for time-in-use)")
    .option(
      "--interrupted <day=what>",
      "the unit was repaired, moved or opened on this day, such as 2026-05-01=repaired; may be given again",
      collect,
    )
    .option("--json", "print one JSON document")
    .action(async (unit: string, paths: readonly string[], options: Options) => {
      const interruptions = (options.interrupted ?? []).map((text) => {
        const [date = "", ...what] = text.split("=");
        return { date, what: what.join("=").trim() || "as told" };
      });
      const wrong = interruptions.find((i) => !isDay(i.date));
      if (wrong !== undefined) {
        return finish(
          sayFault(
            streams,
            fault("refused", "bad-option", `"${wrong.date}" is no day.`, {
              remedy: "Write --interrupted 2026-05-01=repaired.",
            }),
          ),
        );
      }
      const useText = options.use === undefined ? null : readText(options.use);
      if (useText !== null && !useText.ok) return finish(sayFault(streams, useText.fault));
      const use = useText === null ? null : parseUseReadings(useText.value, options.use ?? "");
      if (use !== null && !use.ok) return finish(sayFault(streams, use.fault));

      const read = await withSource(options, paths, async (source) => {
        const { facts, unreadable } = await source.facts(unit);
        return ok({
          unreadable,
          reports: historyReports(facts, unit, {
            months: options.interval,
            target: options.target,
            interruptions,
            ...(use === null ? {} : { in_use: use.value }),
          }),
        });
      });
      if (!read.ok) return finish(sayFault(streams, read.fault));
      const code = sayUnreadable(streams, read.value.unreadable);
      const { reports } = read.value;
      if (!reports.ok) return finish(code ?? sayFault(streams, reports.fault));
      const { point } = options;
      if (point !== undefined && reports.value.every((r) => plottedPoint(r, point) === null)) {
        return finish(
          sayFault(
            streams,
            fault("refused", "bad-option", `No point is called "${point}".`, {
              remedy: 'Name it as the table does, such as "100 % rising".',
            }),
          ),
        );
      }
      if (options.json) {
        say(streams.out, JSON.stringify({ format: "stillpoint-history 1", units: reports.value.map(historyJson) }));
      } else {
        for (const [index, report] of reports.value.entries()) {
          if (index > 0) say(streams.out, "");
          const text = historyText(report, { method: options.method, point, width: streams.columns() });
          for (const line of text) say(streams.out, line);
        }
      }
      finish(code ?? EXIT.success);
    });
};
