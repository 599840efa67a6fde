#!/usr/bin/env node
import { Command, CommanderError } from "commander";
import { softwareVersion } from "../app/package-root.ts";
import { COMMANDS, type CommandModule } from "./commands/index.ts";
import { EXIT, EXIT_CODE_TEXT } from "./exit-codes.ts";
import { processStreams, say } from "./streams.ts";

/** Arguments to commands. Only the command that is wanted is loaded; the only catch-all of the program is here. */

const AFTER_HELP = `
Examples:
  stillpoint demo
  stillpoint check bench-configs/*.yaml
  stillpoint plan --unit my-unit.yaml --points 5
  stillpoint calibrate --bench my-bench.yaml --unit my-unit.yaml --operator "A. Person"

Exit codes:
${EXIT_CODE_TEXT.map(([code, text]) => `  ${String(code).padStart(3)}  ${text}`).join("\n")}
`;

const main = async (argv: readonly string[]): Promise<number> => {
  const streams = processStreams();
  const program = new Command("stillpoint")
    .description("Calibrates current-to-pressure converters on the bench and issues the certificate.")
    .version(softwareVersion())
    .option("--no-color", "no colour, also without NO_COLOR set")
    .addHelpText("after", AFTER_HELP)
    .showHelpAfterError("(add --help for the options)")
    .configureOutput({ writeOut: (text) => streams.out.write(text), writeErr: (text) => streams.talk.write(text) });
  let code: number = EXIT.success;
  // Before the commands are made: they inherit it.
  program.exitOverride();
  const words = argv.filter((word) => !word.startsWith("-"));
  const wanted = words[0] === "help" ? words[1] : words[0];
  for (const entry of COMMANDS) {
    const command = program.command(entry.name).description(entry.summary);
    command.copyInheritedSettings(program);
    if (entry.name !== wanted) continue;
    const module: CommandModule = await entry.load();
    module.define(command, streams, (result) => {
      code = result;
    });
  }
  if (argv.length === 0) {
    program.outputHelp();
    return EXIT.wrongUse;
  }
  try {
    await program.parseAsync(argv, { from: "user" });
  } catch (error) {
    if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.success : EXIT.wrongUse;
    throw error;
  }
  return code;
};

try {
  process.exitCode = await main(process.argv.slice(2));
} catch (error) {
  say(
    process.stderr,
    `stillpoint: unexpected trouble, please report it: ${error instanceof Error ? (error.stack ?? error.message) : String(error)}`,
  );
  process.exitCode = EXIT.failed;
}
