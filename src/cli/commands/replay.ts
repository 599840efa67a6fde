import { writeFileSync } from "node:fs";
import { Option } from "commander";
import {
  type Replay,
  RULE_NAMES,
  type RuleName,
  readSourceFile,
  replaySource,
  waitNumbered,
} from "../../app/replay.ts";
import { replaySvg } from "../../app/replay-svg.ts";
import { replayJson, replayListText, replayWaitText } from "../../app/replay-text.ts";
import { jsonText } from "../../app/text-table.ts";
import { fault } from "../../vocabulary/fault.ts";
import { EXIT } from "../exit-codes.ts";
import { wholeNumber } from "../option-values.ts";
import { sayFault } from "../say-fault.ts";
import { type Streams, say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly point?: number;
  readonly rule?: RuleName;
  readonly svg?: string;
  readonly json?: boolean;
}

const HELP = `
Examples:
  stillpoint replay reports/my-run.record.jsonl
  stillpoint replay reports/my-run.record.jsonl --point 3 --svg point-3.svg
  stillpoint replay traces.jsonl.gz --point 12 --rule band
`;

const writeSvg = (streams: Streams, path: string, text: string): number => {
  try {
    writeFileSync(path, text);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    return sayFault(streams, fault("refused", "bad-file", `${path} cannot be written: ${why}.`));
  }
  say(streams.talk, `Wrote ${path}.`);
  return EXIT.success;
};

const show = (streams: Streams, replay: Replay, options: Options): number => {
  const number = options.point ?? (replay.waits.length === 1 ? 1 : undefined);
  if (number === undefined) {
    if (options.svg !== undefined) {
      return sayFault(
        streams,
        fault("refused", "bad-option", "The drawing shows one point, and none is named.", {
          remedy: `Name one with --point, 1 to ${replay.waits.length}.`,
        }),
      );
    }
    say(
      streams.out,
      options.json ? jsonText(replayJson(replay, replay.waits, false)) : replayListText(replay, streams.columns()),
    );
    return EXIT.success;
  }
  const shown = waitNumbered(replay, number);
  if (!shown.ok) return sayFault(streams, shown.fault);
  say(
    streams.out,
    options.json
      ? jsonText(replayJson(replay, [shown.value], true))
      : replayWaitText(replay, shown.value, streams.columns()),
  );
  return options.svg === undefined ? EXIT.success : writeSvg(streams, options.svg, replaySvg(replay, shown.value));
};

/** What a settling rule thought at each moment of a recorded wait. No instrument, no bench. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  command
    .argument("<trace>", "run record (*.record.jsonl) or file of traces (*.jsonl, *.jsonl.gz)")
    .option("--point <n>", "number of the wait in the file, from 1; without it all are listed", wholeNumber)
    .addOption(
      new Option("--rule <rule>", "rule to try; that of the run, or the detector, when left out").choices(RULE_NAMES),
    )
    .option("--svg <file>", "also draw the point into this file")
    .option("--json", "print everything unrounded as one JSON document")
    .addHelpText("after", HELP)
    .action((path: string, options: Options) => {
      const source = readSourceFile(path);
      finish(
        source.ok ? show(streams, replaySource(source.value, options.rule), options) : sayFault(streams, source.fault),
      );
    });
};
