import { faultText } from "../../vocabulary/fault.ts";
import { failed, look, passed } from "./check.ts";

/** Every instrument answers and reports the unit and mode that is expected of it; drivers assert the latter on identify. */
export const instrumentsAnswer = look("instruments-answer", ({ instruments }) => {
  const troubled = instruments.flatMap((i) => (i.identity.ok ? [] : [`${i.name}: ${faultText(i.identity.fault)}`]));
  return troubled.length === 0
    ? passed(`${[...new Set(instruments.map((i) => i.name))].join(", ")} answered with their identity, unit and mode`)
    : failed(
        troubled.join("; "),
        "Without an answer, or with another unit or mode than the bench file says, no number can be trusted.",
        "Check power, cable, address, line settings and the unit set on the instrument.",
      );
});
