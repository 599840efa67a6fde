import { type LiftOffFound, type RunRecord, stageOf } from "../readings/run-record.ts";

const found = (record: RunRecord, stage: "as-found" | "as-left"): LiftOffFound | null =>
  stageOf(record, stage)?.lift_off ?? null;

const signed = (value: number, decimals: number): string => `${value < 0 ? "" : "+"}${value.toFixed(decimals)}`;

const sentence = (name: string, { commanded_mA, measured_mA, ...f }: LiftOffFound): string =>
  `${name}: lift-off at ${(measured_mA ?? commanded_mA).toFixed(4)} mA, zero error ${signed(f.zero_error_mA, 4)} mA, ${signed(f.zero_error_percent, 3)} % of span (u ${f.u_percent.toFixed(3)} %)`;

/** Zero error by lift-off before and after, for the end of a run; nothing where it was not looked for. */
export const liftOffSentences = (record: RunRecord): readonly string[] =>
  (
    [
      ["As found", "as-found"],
      ["As left", "as-left"],
    ] as const
  ).flatMap(([name, stage]) => {
    const lift_off = found(record, stage);
    return lift_off === null ? [] : [sentence(name, lift_off)];
  });

/** The same for a result document. */
export const liftOffsOf = (record: RunRecord): { readonly lift_off?: object } => {
  const [as_found, as_left] = [found(record, "as-found"), found(record, "as-left")];
  return as_found === null && as_left === null ? {} : { lift_off: { as_found, as_left } };
};
