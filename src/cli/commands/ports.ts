import { pluggedPorts } from "../../app/plugged-ports.ts";
import { EXIT } from "../exit-codes.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

/** Lists the serial ports that are plugged in now. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  command.option("--json", "print the ports as JSON").action(async (options: { readonly json?: boolean }) => {
    const ports = await pluggedPorts();
    if (options.json) say(streams.out, JSON.stringify({ format: "stillpoint-ports 1", ports }));
    else if (ports.length === 0) say(streams.talk, "No serial port is plugged in.");
    for (const { path, adapter, maker } of options.json ? [] : ports) {
      const how = adapter === undefined ? "" : `  in a bench file: port: adapter:${adapter}`;
      say(streams.out, `${path}${maker === undefined ? "" : `  ${maker}`}${how}`);
    }
    finish(EXIT.success);
  });
};
