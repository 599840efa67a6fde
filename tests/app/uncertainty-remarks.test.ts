import { expect, it } from "vitest";
import { evaluateStage } from "../../src/app/evaluate-record.ts";
import { certificateModel } from "../../src/certificate/certificate-model.ts";
import { stageOf } from "../../src/readings/run-record.ts";
import { sampleInput } from "../certificate/sample-input.ts";
import { must, practiceJob, runWithModel } from "./practice-job.ts";

it("what is not in U is worked out with the stage and stands under the budget of the certificate", async () => {
  const job = practiceJob({}, { adjust: "never", plan: { points: 3 } });
  const stage = stageOf((await runWithModel(job)).outcome.record, "as-found");
  if (stage === undefined) throw new Error("no as-found stage");
  const { uncertainty_remarks } = must(evaluateStage(stage, job));
  expect(uncertainty_remarks).toEqual([
    "Not stated for this bench, so not in U: drift of gauge since its calibration; drift of bench-meter since its calibration; temperature effect on gauge; zero of gauge over the run; height between gauge and unit.",
    "Each point was read in one cycle only, so repeatability from cycle to cycle is not in U.",
  ]);
  const input = sampleInput();
  if (input.asLeft === undefined) throw new Error("the sample has no as-left stage");
  const remarks = uncertainty_remarks ?? [];
  const model = certificateModel({ ...input, asLeft: { ...input.asLeft, uncertainty_remarks: remarks } });
  const section = model.sections.find((s) => s.id === "uncertainty");
  const items = section?.blocks.flatMap((b) => (b.kind === "list" ? b.items : [])) ?? [];
  for (const remark of remarks) expect(items.filter((item) => item === remark)).toHaveLength(1);
});
