import { type Command, InvalidArgumentError, Option } from "commander";
import { factsAtHand, type HistorySource, recordFacts, type Unreadable } from "../app/history-source.ts";
import { storeSource } from "../app/history-store.ts";
import { isDay, METHODS, type MethodId } from "../app/history-words.ts";
import { knownParts } from "../app/known-parts.ts";
import type { Fault } from "../vocabulary/fault.ts";
import type { Result } from "../vocabulary/result.ts";
import { wholeNumber } from "./option-values.ts";
import { addRecordsOptions, type RecordsArguments, withRecords } from "./records-options.ts";
import { sayFault } from "./say-fault.ts";
import type { Streams } from "./streams.ts";

/** Options that `history` and `due` share. */

export const dayValue = (text: string): string => {
  if (!isDay(text)) throw new InvalidArgumentError("It has to be a day that exists, such as 2027-03-01.");
  return text;
};

const shareValue = (text: string): number => {
  const value = Number(text);
  if (!(value > 0 && value < 1)) throw new InvalidArgumentError("It has to lie between 0 and 1, such as 0.95.");
  return value;
};

export interface IntervalOptions extends RecordsArguments {
  readonly method?: MethodId;
  readonly interval?: number;
  readonly target?: number;
}

export const addIntervalOptions = (command: Command, methodText: string): Command =>
  addRecordsOptions(command)
    .addOption(new Option("--method <name>", methodText).choices(METHODS))
    .option("--interval <months>", "interval to begin with, months; else what the laboratory file stated", wholeNumber)
    .option(
      "--target <share>",
      "share to be found in tolerance at the end of the interval, 0.95 if left out",
      shareValue,
    );

/** Records that are named as files; without any, those of the bench or the shared ones. */
export const withSource = <T>(
  args: RecordsArguments,
  paths: readonly string[],
  work: (source: HistorySource) => Promise<Result<T, Fault>>,
): Promise<Result<T, Fault>> =>
  paths.length > 0
    ? work(factsAtHand(recordFacts(paths, knownParts())))
    : withRecords(args, ({ db }) => work(storeSource(db)));

/** Says what could not be read; gives the exit code for it, null when there is none. */
export const sayUnreadable = (streams: Streams, unreadable: readonly Unreadable[]): number | null => {
  let code: number | null = null;
  for (const { where, fault } of unreadable) {
    const named = fault.message.startsWith(where) ? "" : `${where}: `;
    const own = sayFault(streams, { ...fault, message: `Left out: ${named}${fault.message}` });
    code ??= own;
  }
  return code;
};
