import { examinationOf } from "../plan/examination.ts";
import { EXAMINATIONS, examinationNames } from "../plan/examinations/index.ts";
import type { ExaminationRequest } from "../run/run-request.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { beginsAtZero } from "../vocabulary/lift-off.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { liftOffSearch } from "./lift-off-search.ts";
import type { Job } from "./prepare-job.ts";

export const LIFT_OFF = "lift-off";

/** Names and summaries of all tests. */
export const examinationList = (): readonly { readonly name: string; readonly summary: string }[] => [
  ...EXAMINATIONS.map(({ name, summary }) => ({ name, summary })),
  {
    name: LIFT_OFF,
    summary: "of a range that begins at zero pressure: the current at which the output begins to rise",
  },
];

/** The request for a named test of a prepared job. */
export const examinationFor = (job: Job, name: string): Result<ExaminationRequest, Fault> => {
  if (name === LIFT_OFF) {
    if (!beginsAtZero(job.transfer)) {
      return err(
        fault("refused", "bad-option", "Lift-off is for units whose range begins at zero gauge pressure.", {
          remedy: "The zero error of this unit shows in its readings; calibrate it as it is.",
        }),
      );
    }
    const search = liftOffSearch(job);
    return ok({
      examination: { test: LIFT_OFF, title: "Lift-off from zero pressure", steps: search.steps([], null), about_s: 90 },
      more: (traces) => search.steps(traces, null),
    });
  }
  const draft = EXAMINATIONS.find((e) => e.name === name);
  if (draft === undefined) {
    return err(
      fault("refused", "bad-option", `There is no test "${name}".`, {
        remedy: `Choose one of ${[...examinationNames(), LIFT_OFF].join(", ")}.`,
      }),
    );
  }
  const { supply, settling_limit } = job.unit;
  return ok({
    examination: examinationOf(draft, {
      supply_kPa: { lower: supply.lower.kPa, nominal: supply.nominal.kPa, upper: supply.upper.kPa },
      settling_limit_s: settling_limit?.s ?? null,
    }),
  });
};
