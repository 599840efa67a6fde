import { idealOutput, percentOf } from "../../vocabulary/signal-range.ts";
import { first } from "../script.ts";
import { failed, type PreflightCheck, passed } from "./check.ts";

/** The first output is the safe one, read back. */
export const sourceSafe: PreflightCheck = {
  name: "source-safe",
  phase: "drive",
  run: function* ({ context }) {
    const outcome = yield* first(context.request.bench.makeSafe());
    if (outcome.kind === "unknown") {
      return failed(
        `the source could not be brought to its safe value: ${outcome.reason}`,
        "If it cannot be made safe now, it cannot at the end.",
        "Check the source; take it out of the loop and vent by hand if in doubt.",
      );
    }
    const { transfer } = context.request;
    context.commanded_mA = outcome.current_mA;
    context.percent = percentOf(transfer.output, idealOutput(transfer, outcome.current_mA));
    context.safe_percent = context.percent;
    return passed(`the source stands at its safe value, ${outcome.current_mA.toFixed(3)} mA`);
  },
};
