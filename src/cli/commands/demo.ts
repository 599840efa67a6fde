import type { CommandModule } from "./index.ts";
export const define: CommandModule["define"] = (command, _streams, finish) => {
  command.action(() => finish(0));
};
