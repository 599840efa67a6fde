import { InvalidArgumentError } from "commander";
import { readEndpoints } from "../../app/endpoints.ts";
import { type Heard, type ListenRequest, listenTo } from "../../app/listen.ts";
import { dryCheck } from "../../app/listen-dry.ts";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { EXIT } from "../exit-codes.ts";
import { positive, wholeNumber } from "../option-values.ts";
import { sayFault } from "../say-fault.ts";
import { type Streams, say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly bench?: string;
  readonly instrument?: string;
  readonly simulator?: string;
  readonly link?: string;
  readonly profile?: string;
  readonly address?: number;
  readonly registers?: NonNullable<ListenRequest["registers"]>;
  readonly ask?: readonly string[];
  readonly bytes?: string;
  readonly times: number;
  readonly every: number;
  readonly json?: boolean;
}

const registers = (text: string, before: Options["registers"] = []): NonNullable<Options["registers"]> => {
  const found = /^(holding|input):(\d+):(\d+)$/u.exec(text);
  const [, table, address, count] = found ?? [];
  if (
    (table !== "holding" && table !== "input") ||
    Number(count) < 1 ||
    Number(count) > 125 ||
    Number(address) > 65535
  ) {
    throw new InvalidArgumentError(
      "Write table:address:count, such as input:0:8; 1 to 125 registers, addresses from 0.",
    );
  }
  return [...before, { table, address: Number(address), count: Number(count) }];
};

/** A line without a question mark might set something, and listening never does. */
const question = (text: string, before: readonly string[] = []): readonly string[] => {
  if (!text.includes("?")) throw new InvalidArgumentError(`"${text}" is no question, and only questions are sent.`);
  return [...before, text];
};

const spaced = (hex: string): string => hex.replace(/(..)(?=.)/gu, "$1 ");

const sayHeard = (streams: Streams, { asked, took_ms, raw, says, fault: trouble }: Heard): void => {
  say(streams.out, `${asked}   ${took_ms.toFixed(1)} ms`);
  if (trouble !== undefined) {
    say(streams.out, `  ${trouble.code}: ${trouble.message}`);
    return;
  }
  say(streams.out, `  raw ${spaced(raw)}`);
  for (const { name, text, doubt } of says) say(streams.out, `  ${name}: ${text}${doubt ? `   <- ${doubt}` : ""}`);
};

const sayTiming = (streams: Streams, times_ms: readonly number[]): void => {
  const sorted = times_ms.toSorted((a, b) => a - b);
  const at = (share: number): string => (sorted[Math.floor(share * (sorted.length - 1))] ?? 0).toFixed(1);
  say(streams.talk, `${sorted.length} answers: fastest ${at(0)} ms, middle ${at(0.5)} ms, slowest ${at(1)} ms.`);
  say(streams.talk, "Set answer_deadline of the link well above the slowest, measured over 50 or more.");
};

const requestOf = (options: Options): Result<ListenRequest, Fault> => {
  const { bench, instrument, simulator, link, profile, address, ask } = options;
  if (bench !== undefined && instrument !== undefined) {
    const endpoints = simulator === undefined ? ok(null) : readEndpoints(simulator);
    return endpoints.ok ? ok({ bench: { file: bench, instrument, endpoints: endpoints.value } }) : endpoints;
  }
  if (link === undefined) {
    return err(
      fault("refused", "bad-option", "It is not said what to listen to.", {
        remedy:
          "Give --bench and --instrument, or --link with --profile, --registers or --ask, or --profile and --bytes.",
      }),
    );
  }
  return ok({
    link,
    ...(profile === undefined ? {} : { profile }),
    ...(address === undefined ? {} : { address }),
    ...(options.registers === undefined ? {} : { registers: options.registers }),
    ...(ask === undefined ? {} : { lines: ask }),
  });
};

const checkDry = (streams: Streams, profile: string, bytes: string, json: boolean): number => {
  const checked = dryCheck(profile, bytes);
  if (!checked.ok) return sayFault(streams, checked.fault);
  const { found, unseen } = checked.value;
  if (json) say(streams.out, JSON.stringify({ format: "stillpoint-dry-check 1", ...checked.value }));
  for (const { heard, says, trouble } of json ? [] : found) {
    say(streams.out, `${heard}${trouble === undefined ? "" : `   <- ${trouble}`}`);
    for (const { name, text, doubt } of says) say(streams.out, `  ${name}: ${text}${doubt ? `   <- ${doubt}` : ""}`);
  }
  if (!json && unseen.length > 0) say(streams.talk, `The bytes say nothing of ${unseen.join(", ")}.`);
  const good =
    found.some(({ says }) => says.length > 0) && found.every(({ says }) => says.every((s) => s.doubt === undefined));
  return good ? EXIT.success : EXIT.failed;
};

/** Prints what an instrument says, raw and decoded, with timing; or what a profile makes of captured bytes. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  command
    .option("--bench <file>", "bench file that has the instrument")
    .option("--instrument <name>", "name of the instrument in the bench file")
    .option("--simulator <file>", "use the simulated bench that wrote this endpoints file")
    .option("--link <place>", "a line without a bench file: tcp://HOST:PORT, or PORT,9600,8E1")
    .option("--profile <name|file>", "profile to decode with")
    .option("--address <n>", "unit address on the line", wholeNumber)
    .option("--registers <table:address:count>", "registers to read without a profile; more than once", registers)
    .option("--ask <text>", "question to send as it stands, without a profile, such as *IDN?; more than once", question)
    .option("--bytes <hex|file>", "check --profile against captured bytes; nothing is opened")
    .option("--times <n>", "how often everything is asked", wholeNumber, 1)
    .option("--every <s>", "pause between rounds, s", positive, 1)
    .option("--json", "one JSON object a line")
    .action(async (options: Options) => {
      if (options.bytes !== undefined && options.profile !== undefined) {
        return finish(checkDry(streams, options.profile, options.bytes, options.json === true));
      }
      const request = requestOf(options);
      if (!request.ok) return finish(sayFault(streams, request.fault));
      const opened = await listenTo(request.value);
      if (!opened.ok) return finish(sayFault(streams, opened.fault));
      const times_ms: number[] = [];
      let troubled = false;
      for (let round = 0; round < options.times; round += 1) {
        if (round > 0) await new Promise((resolve) => setTimeout(resolve, 1000 * options.every));
        for await (const heard of opened.value.round()) {
          if (options.json) say(streams.out, JSON.stringify(heard));
          else sayHeard(streams, heard);
          if (heard.fault === undefined) times_ms.push(heard.took_ms);
          else troubled = true;
        }
      }
      await opened.value.close();
      if (times_ms.length > 0) sayTiming(streams, times_ms);
      finish(troubled ? EXIT.communication : EXIT.success);
    });
};
