import { readEndpoints } from "../../app/endpoints.ts";
import { knownParts } from "../../app/known-parts.ts";
import { makeBenchSafe } from "../../app/make-bench-safe.ts";
import { fault } from "../../vocabulary/fault.ts";
import { parseQuantityOf } from "../../vocabulary/quantity-text.ts";
import { EXIT } from "../exit-codes.ts";
import { neededOption } from "../needed-option.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly bench: string;
  readonly station?: string;
  readonly current: string;
  readonly simulator?: string;
}

/** For a bench that was left in doubt: one set, one read-back, one sentence. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  neededOption(command, "--bench <file>", "bench file");
  neededOption(command, "--current <quantity>", "the safe current, such as `4 mA`");
  command
    .option("--station <name>", "station of the bench; the only one when there is one")
    .option("--simulator <file>", "use the simulated bench that wrote this endpoints file")
    .action(async (options: Options) => {
      const current = parseQuantityOf("current", options.current);
      if (!current.ok)
        return finish(
          sayFault(streams, fault("refused", "bad-option", `${current.fault.message} ${current.fault.remedy}`)),
        );
      const endpoints = options.simulator === undefined ? null : readEndpoints(options.simulator);
      if (endpoints !== null && !endpoints.ok) return finish(sayFault(streams, endpoints.fault));
      const left = await makeBenchSafe({
        bench: options.bench,
        station: options.station,
        current: current.value.mA,
        endpoints: endpoints?.value ?? null,
        known: knownParts(),
      });
      if (!left.ok) return finish(sayFault(streams, left.fault));
      say(streams.out, `The source stands at ${left.value.toFixed(3)} mA, as it says itself.`);
      finish(EXIT.success);
    });
};
