import type { Dialect } from "./dialect.ts";

type Named = Readonly<Record<string, { readonly unit?: string | undefined } | undefined>>;

/** What a profile of either kind says it can read and be told, as a dialect gives it on. */
export const namesIn = (profile: {
  readonly readings: Named;
  readonly commands: Named;
}): Pick<Dialect, "hasReading" | "hasCommand" | "unitOfReading" | "unitOfCommand"> => ({
  hasReading: (reading) => profile.readings[reading] !== undefined,
  hasCommand: (command) => profile.commands[command] !== undefined,
  unitOfReading: (reading) => profile.readings[reading]?.unit ?? null,
  unitOfCommand: (command) => profile.commands[command]?.unit ?? null,
});

/** The part of a profile that describes a command. A caller that asks for one which is not there is a bug. */
export const commandIn = <C>(commands: Readonly<Record<string, C>>, command: string, name: string): C => {
  const found = commands[command];
  if (found === undefined) throw new Error(`the profile of ${name} has no command ${command}`);
  return found;
};
