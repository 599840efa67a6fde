import { expect, it } from "vitest";
import { evaluateStage } from "../../src/app/evaluate-record.ts";
import { certificateModel } from "../../src/certificate/certificate-model.ts";
import { gaugeZeroOf } from "../../src/readings/gauge-zero.ts";
import { stageOf } from "../../src/readings/run-record.ts";
import { sampleInput } from "../certificate/sample-input.ts";
import { must, practiceJob, runWithModel } from "./practice-job.ts";

it("what is not in U is worked out with the stage and stands under the budget of the certificate, in its language", async () => {
  const job = practiceJob({}, { adjust: "never", plan: { points: 3 } });
  const { record } = (await runWithModel(job)).outcome;
  const stage = stageOf(record, "as-found");
  if (stage === undefined) throw new Error("no as-found stage");
  const { uncertainty_remarks } = must(evaluateStage(stage, { ...job, ...gaugeZeroOf(record) }));
  // The zero of the gauge was read before and after this run, so it is not among what nobody said.
  expect(uncertainty_remarks).toEqual([
    {
      code: "not-stated",
      missing: [
        { what: "drift", of: "gauge" },
        { what: "drift", of: "bench-meter" },
        { what: "temperature", of: "gauge" },
        { what: "height", of: null },
      ],
    },
    { code: "one-cycle" },
  ]);
  const alone = must(evaluateStage(stage, job)).uncertainty_remarks?.[0];
  expect(alone).toMatchObject({ missing: expect.arrayContaining([{ what: "zero", of: "gauge" }]) });

  const input = sampleInput();
  if (input.asLeft === undefined) throw new Error("the sample has no as-left stage");
  const asLeft = { ...input.asLeft, uncertainty_remarks: uncertainty_remarks ?? [] };
  const itemsIn = (language: "en" | "de"): readonly string[] => {
    const model = certificateModel({ ...input, asLeft, language });
    const section = model.sections.find((s) => s.id === "uncertainty");
    return section?.blocks.flatMap((b) => (b.kind === "list" ? b.items : [])) ?? [];
  };
  const english =
    "Not stated for this bench, so not in U: drift of gauge since its calibration; drift of bench-meter since its calibration; temperature effect on gauge; height between gauge and unit.";
  expect(itemsIn("en").filter((item) => item === english)).toHaveLength(1);
  const german =
    "Für diesen Prüfstand nicht angegeben und darum nicht in U: Drift von gauge seit der Kalibrierung; Drift von bench-meter seit der Kalibrierung; Temperatureinfluss auf gauge; Höhe zwischen Manometer und Prüfling.";
  expect(itemsIn("de").filter((item) => item === german)).toHaveLength(1);
  expect(itemsIn("de").join(" ")).not.toMatch(/\b(?:the|not stated|only)\b/iu);
});
