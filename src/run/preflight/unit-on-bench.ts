import { map, merge } from "rxjs";
import { first } from "../script.ts";
import { failed, type PreflightCheck, passed, skipped } from "./check.ts";

/**
 * An analogue converter says nothing of itself, and no instrument sees how it is mounted. So whoever is at the bench is
 * asked to compare label and height with the files, and the answer stands in the record.
 */
export const unitOnBench: PreflightCheck = {
  name: "unit-on-bench",
  phase: "look",
  run: function* ({ context }) {
    const { assistant, preflight } = context.request;
    const { item } = preflight;
    if (item === undefined) return skipped("the run was not told which unit it is of");
    if (assistant === undefined) return skipped(`nobody is there to compare the label of the unit: ${item}`);
    const words = `Compare the label: on the bench is ${item}`;
    context.live({ kind: "asking", what: words });
    const answer = yield* first(
      merge(
        assistant.act({ kind: "confirm", words }),
        context.wait$(context.policy.hand_patience_s).pipe(map((): "declined" => "declined")),
      ),
    );
    return answer === "done"
      ? passed(`confirmed at the bench: ${item}`)
      : failed(
          `not confirmed at the bench: ${item}`,
          "The certificate would be of another unit, or of one mounted otherwise than the files say.",
          "Clamp the unit that the unit file names, or take the file of this one; write the true height into the bench file.",
        );
  },
};
