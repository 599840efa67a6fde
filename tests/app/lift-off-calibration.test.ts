import { map, timer } from "rxjs";
import { describe, expect, it } from "vitest";
import { trueOutputs } from "../../drivers/simulated/physics/true-errors.ts";
import { adjustmentPoints } from "../../src/plan/adjustment-points.ts";
import { stageOf } from "../../src/readings/run-record.ts";
import { practiceJob, runWithModel } from "./practice-job.ts";

/** Where the output of the plant leaves zero on the way up from 3.6 mA, after a full stroke: % of span, by its physics. */
const trueLiftOff = (
  run: Awaited<ReturnType<typeof runWithModel>>,
  turns: { readonly zero: number; readonly span: number },
): number => {
  const inputs = Array.from({ length: 1200 }, (_, i) => -2.5 + 0.005 * i);
  const outputs = trueOutputs(run.model.plantSettings, inputs, { before: [0, 100, 0, -2.5], turns });
  return inputs[outputs.findIndex((output) => output > 1e-9)] ?? Number.NaN;
};

describe("a range that begins at zero pressure, calibrated", () => {
  for (const zero_error of [-0.9, 1.3]) {
    it(`is adjusted by lift-off and passes: zero error ${zero_error} % of span`, async () => {
      const converter = { zero_error, span_error: -0.8, bow: 0.1, hysteresis: 0.1 };
      const job = practiceJob({ unit: "ip-0-75-psi", converter }, { adjust: "when-needed" });
      expect(adjustmentPoints(job.transfer)).toMatchObject({ lower_percent: 0, zero_by: "lift-off" });
      const run = await runWithModel(job);
      const { record, asLeft } = run.outcome;
      const [before, after] = [stageOf(record, "as-found")?.lift_off, stageOf(record, "as-left")?.lift_off];
      if (before == null || after == null) throw new Error("no lift-off in the record");
      const truth = {
        before: trueLiftOff(run, { zero: 0, span: 0 }),
        after: trueLiftOff(run, run.model.plant.screws()),
      };
      expect(Math.abs(before.input_percent - truth.before)).toBeLessThan(0.05);
      expect(Math.abs(after.input_percent - truth.after)).toBeLessThan(0.05);
      // Tolerance 1 % of span, aim a quarter of it.
      expect(Math.abs(after.zero_error_percent)).toBeLessThan(0.25);
      expect(after.zero_error_mA).toBeCloseTo(0.16 * after.zero_error_percent, 6);
      expect(asLeft?.ok && asLeft.value.verdict.word).toBe("pass");
      const turns = record.adjustments.flatMap((a) => a.turns);
      expect(turns.some((t) => t.screw === "zero" && t.by === "lift-off")).toBe(true);
      expect(turns.filter((t) => t.screw === "span").every((t) => t.by === undefined)).toBe(true);
      expect(record.frozen?.missing).toBe(0);
    }, 30_000);
  }

  it("says so when the air is gone while zero is set, and as found stays frozen", async () => {
    const converter = { zero_error: -0.9, span_error: 0, bow: 0, hysteresis: 0.1 };
    const job = practiceJob({ unit: "ip-0-75-psi", converter }, { adjust: "always" });
    const run = await runWithModel(job, ({ model }, scheduler) => ({
      turn: ({ lift_off }) =>
        timer(5000, scheduler).pipe(
          map(() => {
            if (lift_off !== undefined) model.supply.set(0);
            return { kind: "let-go" } as const;
          }),
        ),
    }));
    const { record } = run.outcome;
    expect(record.frozen?.missing).toBe(0);
    const [adjustment] = record.adjustments;
    expect(adjustment?.ending?.outcome).toBe("given-up");
    expect(adjustment?.ending?.why).toMatch(/did not rise up to .*no air, a blocked line/u);
    expect(run.outcome.asFound?.ok).toBe(true);
    expect(record.source_left.at(-1)?.outcome).toBe("safe");
  }, 30_000);
});
