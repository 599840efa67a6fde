import { faultText } from "../../vocabulary/fault.ts";
import { first } from "../script.ts";
import { failed, type PreflightCheck, passed } from "./check.ts";

/** An instrument that restarted or was set otherwise during the run shows when it is asked once more at the end. */
export const settingsAfter: PreflightCheck = {
  name: "settings-after",
  phase: "after",
  run: function* ({ context }) {
    const instruments = yield* first(context.request.bench.identify());
    const troubled = instruments.flatMap(({ name, identity }) => {
      if (!identity.ok) return [`${name}: ${faultText(identity.fault)}`];
      const before = context.serials.get(name);
      return before === undefined || before === identity.value.serial_number
        ? []
        : [`${name} says ${identity.value.serial_number}, at the start it was ${before}`];
    });
    return troubled.length === 0
      ? passed(
          `${[...new Set(instruments.map((i) => i.name))].join(", ")} are still who they were, with unit and settings as they have to be`,
        )
      : failed(
          troubled.join("; "),
          "From when on this held is not known, so no reading of the run can be trusted.",
          "Put the instrument right, find out why it changed, and run again.",
        );
  },
};
