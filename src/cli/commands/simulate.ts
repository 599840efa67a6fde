import { writeFileSync } from "node:fs";
import { readJobFiles } from "../../app/job-files.ts";
import { knownParts } from "../../app/known-parts.ts";
import { shipped } from "../../app/package-root.ts";
import { serveBench } from "../../app/serve-bench.ts";
import { EXIT } from "../exit-codes.ts";
import { positive } from "../option-values.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly bench: string;
  readonly unit: string;
  readonly station?: string;
  readonly factor: number;
  readonly port?: number;
  readonly endpoints?: string;
  readonly json?: boolean;
  readonly attached?: boolean;
}

/** Serves a simulated bench until it is interrupted, for our own drivers and for any other client. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  command
    .option("--bench <file>", "bench file with a simulation section", shipped("bench-configs", "simulated-serial.yaml"))
    .option("--unit <file>", "unit file of the converter to simulate", shipped("bench-configs", "ip-3-15-psi.yaml"))
    .option("--station <name>", "station to serve; the only one when there is one")
    .option("--factor <n>", "simulated seconds per second", positive, 1)
    .option(
      "--port <n>",
      "TCP port of the service registers; TCP links follow it (any free ports if left out)",
      positive,
    )
    .option("--endpoints <file>", "write where it is served, for `stillpoint calibrate --simulator`")
    .option("--json", "print where it is served as one JSON line")
    .option("--attached", "end when standard input closes")
    .addHelpText("after", "\nEverything that this bench says is SIMULATED.\n")
    .action(async (options: Options) => {
      const files = readJobFiles(
        { bench: options.bench, unit: options.unit, laboratory: shipped("bench-configs", "laboratory.yaml") },
        knownParts(),
      );
      if (!files.ok) return finish(sayFault(streams, files.fault));
      const { bench, unit } = files.value;
      const station = options.station ?? Object.keys(bench.stations)[0] ?? "";
      const serving = await serveBench({ bench, unit, station, factor: options.factor, tcp_port: options.port });
      if (!serving.ok) return finish(sayFault(streams, serving.fault));
      const { endpoints } = serving.value;
      const line = JSON.stringify(endpoints);
      if (options.endpoints !== undefined) writeFileSync(options.endpoints, `${line}\n`);
      if (options.json) say(streams.out, line);
      else {
        say(
          streams.out,
          `SIMULATED bench: ${bench.name}, ${unit.identity.model}, ${options.factor} times as fast as the clock.`,
        );
        for (const [name, place] of [
          ...Object.entries(endpoints.links),
          ["service registers", endpoints.service] as const,
        ]) {
          const where =
            place.kind === "serial" ? `serial line ${place.path}` : `Modbus TCP ${place.host}:${place.port}`;
          say(streams.out, `  ${name}: ${where}`);
        }
        say(streams.out, "Stop it with Ctrl-C.");
      }
      await new Promise<void>((resolve) => {
        process.once("SIGINT", resolve);
        process.once("SIGTERM", resolve);
        if (options.attached) {
          process.stdin.on("end", resolve);
          process.stdin.on("error", resolve);
          process.stdin.resume();
        }
      });
      await serving.value.close();
      finish(EXIT.success);
    });
};
