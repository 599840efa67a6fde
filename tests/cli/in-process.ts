import { PassThrough, Readable } from "node:stream";
import { Command, CommanderError } from "commander";
import type { CommandModule } from "../../src/cli/commands/index.ts";
import type { Streams } from "../../src/cli/streams.ts";

export interface Said {
  readonly code: number | null;
  readonly out: string;
  readonly talk: string;
}

/** Runs one command in this process, with no terminal anywhere. */
export const runCommand = async (define: CommandModule["define"], args: readonly string[]): Promise<Said> => {
  const collected = { out: "", talk: "" };
  const collector = (name: keyof typeof collected): PassThrough => {
    const stream = new PassThrough();
    stream.on("data", (chunk: Buffer) => {
      collected[name] += chunk.toString("utf8");
    });
    return stream;
  };
  const streams: Streams = {
    out: collector("out"),
    talk: collector("talk"),
    input: Readable.from([]),
    live: false,
    colour: false,
    canAsk: false,
    columns: () => 80,
  };
  const command = new Command("command").exitOverride().configureOutput({
    writeOut: (text) => streams.out.write(text),
    writeErr: (text) => streams.talk.write(text),
  });
  let code: number | null = null;
  define(command, streams, (result) => {
    code = result;
  });
  try {
    await command.parseAsync(args, { from: "user" });
  } catch (error) {
    if (!(error instanceof CommanderError)) throw error;
  }
  return { code, ...collected };
};
