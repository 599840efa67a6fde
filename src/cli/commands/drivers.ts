import { driverList } from "../../app/driver-list.ts";
import { EXIT } from "../exit-codes.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

/** Lists the drivers and profiles that a bench file may name. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  command.option("--json", "print the list as JSON").action((options: { readonly json?: boolean }) => {
    const { drivers, profiles } = driverList();
    if (options.json) say(streams.out, JSON.stringify({ format: "stillpoint-drivers 1", drivers, profiles }));
    else {
      say(streams.out, "Drivers:");
      for (const { name, summary } of drivers) say(streams.out, `  ${name.padEnd(12)} ${summary}`);
      say(streams.out, "Profiles that come along:");
      for (const { name, title } of profiles) say(streams.out, `  ${name.padEnd(30)} ${title}`);
    }
    finish(EXIT.success);
  });
};
