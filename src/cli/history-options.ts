import { type Command, InvalidArgumentError, Option } from "commander";
import { type ReadFacts, recordFacts } from "../app/history-source.ts";
import { isDay, METHODS, type MethodId } from "../app/history-words.ts";
import { knownParts } from "../app/known-parts.ts";
import { wholeNumber } from "./option-values.ts";
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

export interface IntervalOptions {
  readonly method?: MethodId;
  readonly interval?: number;
  readonly target?: number;
}

export const addIntervalOptions = (command: Command, methodText: string): Command =>
  command
    .addOption(new Option("--method <name>", methodText).choices(METHODS))
    .option("--interval <months>", "interval to begin with, months; else what the laboratory file stated", wholeNumber)
    .option(
      "--target <share>",
      "share to be found in tolerance at the end of the interval, 0.95 if left out",
      shareValue,
    );

/** Reads the records; those that cannot be read are said, and give the exit code in the end. */
export const factsFrom = (streams: Streams, paths: readonly string[]): ReadFacts & { readonly code: number | null } => {
  const read = recordFacts(paths, knownParts());
  let code: number | null = null;
  for (const { path, fault } of read.unreadable) {
    const own = sayFault(streams, {
      ...fault,
      message: `Left out: ${fault.message.startsWith(path) ? "" : `${path}: `}${fault.message}`,
    });
    code ??= own;
  }
  return { ...read, code };
};
