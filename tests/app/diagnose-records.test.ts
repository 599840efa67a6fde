import { beforeAll, describe, expect, it } from "vitest";
import { diagnoseRecords, diagnosisText } from "../../src/app/diagnose-records.ts";
import { examinationFor } from "../../src/app/examination-job.ts";
import { interplayFromRecords } from "../../src/app/interplay-from-records.ts";
import { readJobFiles } from "../../src/app/job-files.ts";
import { knownParts } from "../../src/app/known-parts.ts";
import { type Job, prepareJob } from "../../src/app/prepare-job.ts";
import { runVirtualJob } from "../../src/app/virtual-job.ts";

const folder = new URL("../../bench-configs/", import.meta.url).pathname;

const jobOf = (): Job => {
  const files = readJobFiles(
    {
      bench: `${folder}simulated-serial.yaml`,
      unit: `${folder}ip-3-15-psi.yaml`,
      laboratory: `${folder}laboratory.yaml`,
    },
    knownParts(),
  );
  if (!files.ok) throw new Error(files.fault.message);
  const job = prepareJob(files.value, { operator: "R. Brandt" }, "2026-11-25");
  if (!job.ok) throw new Error(job.fault.message);
  return job.value;
};

const recordOf = async (job: Job): Promise<string> => {
  const lines: string[] = [];
  const outcome = await runVirtualJob(job, {
    run_id: "keg-7",
    utc_zero_ms: 0,
    keep: (line) => {
      lines.push(line);
      return null;
    },
  });
  if (!outcome.ok) throw new Error(outcome.fault.message);
  return `${lines.join("\n")}\n`;
};

describe("from the records of the practice unit", () => {
  let calibration = "";
  let steps = "";
  const job = jobOf();

  beforeAll(async () => {
    calibration = await recordOf(job);
    const request = examinationFor(job, "step-response");
    if (!request.ok) throw new Error(request.fault.message);
    steps = await recordOf({ ...job, examine: request.value });
  });

  it("names what its file plants: zero +1.2 % and span -0.9 %, as opinion and SIMULATED", () => {
    const found = diagnoseRecords([calibration, steps], knownParts());
    if (!found.ok) throw new Error(found.fault.message);
    expect(found.value.diagnosis.opinions.map((o) => o.cause)).toEqual(["zero-off", "span-off"]);
    expect(found.value.diagnosis.not_looked_at).toEqual(["leak", "dead band", "hold"]);
    const text = diagnosisText(found.value).join("\n");
    expect(text).toContain("SIMULATED");
    expect(text).toContain("Opinion (ISO/IEC 17025, 7.8.7)");
  });

  it("takes the interplay of the screws over to the next unit of the model, which then needs one round", async () => {
    const told = interplayFromRecords([calibration], job.unit.identity, knownParts());
    if (!told.ok) throw new Error(told.fault.message);
    // The simulated screws: zero 2.4 % a turn below and 2.9 % above; span turns about -20 %: 20/120 of its effect.
    expect(told.value.zero?.ratio).toBeCloseTo(2.9 / 2.4, 1);
    expect(told.value.span?.ratio).toBeCloseTo(20 / 120, 1);
    const again = await recordOf({ ...job, interplay: told.value });
    expect(again).toContain('"kind":"adjustment-ended","outcome":"within-aim"');
    expect(again).toMatch(/"rounds":1[,}]/);
    expect(interplayFromRecords([calibration], { ...job.unit.identity, model: "HC-99" }, knownParts())).toEqual({
      ok: true,
      value: {},
    });
  });

  it("says the outlook before the first turn, and keeps what was learned", () => {
    const kinds = calibration.split("\n").flatMap((l) => (l === "" ? [] : [JSON.parse(l).event.kind as string]));
    const at = (kind: string) => kinds.indexOf(kind);
    expect(at("as-found-frozen")).toBeLessThan(at("adjustment-outlook"));
    expect(at("adjustment-outlook")).toBeLessThan(at("screw-turned"));
    expect(at("interplay-learned")).toBeGreaterThan(kinds.lastIndexOf("screw-turned"));
  });
});
