import type { Command } from "commander";

/**
 * An option that a command cannot do without. Asked for only after unknown options were refused, so that a misspelt one
 * is told as misspelt and not as missing.
 */
export const neededOption = (command: Command, flags: string, description: string): Command => {
  command.option(flags, `${description} (needed)`);
  const option = command.options.find((known) => known.flags === flags);
  return command.hook("preAction", () => {
    if (option !== undefined && command.getOptionValue(option.attributeName()) === undefined) {
      command.error(`error: required option '${flags}' not specified`);
    }
  });
};
