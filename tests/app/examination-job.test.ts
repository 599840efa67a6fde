import { describe, expect, it } from "vitest";
import { trueOutputs } from "../../drivers/simulated/physics/true-errors.ts";
import { createSimulatedBench } from "../../drivers/simulated/simulated-bench.ts";
import { examinationFor, examinationList } from "../../src/app/examination-job.ts";
import { examinationReport } from "../../src/app/examination-report.ts";
import { readJobFiles } from "../../src/app/job-files.ts";
import { knownParts } from "../../src/app/known-parts.ts";
import { type Job, prepareJob } from "../../src/app/prepare-job.ts";
import { simulatedSettings } from "../../src/app/simulated-settings.ts";
import { runVirtualJob } from "../../src/app/virtual-job.ts";

const jobOf = (unit: string): Job => {
  const folder = new URL("../../bench-configs/", import.meta.url).pathname;
  const files = readJobFiles(
    {
      bench: `${folder}simulated-serial.yaml`,
      unit: `${folder}${unit}`,
      laboratory: `${folder}laboratory.yaml`,
    },
    knownParts(),
  );
  if (!files.ok) throw new Error(files.fault.message);
  const job = prepareJob(files.value, { operator: "R. Brandt" }, "2026-11-25");
  if (!job.ok) throw new Error(job.fault.message);
  return job.value;
};

const reportOf = async (unit: string, test: string): Promise<string> => {
  const job = jobOf(unit);
  const request = examinationFor(job, test);
  if (!request.ok) throw new Error(request.fault.message);
  const examined = { ...job, examine: request.value };
  const outcome = await runVirtualJob(examined, { run_id: "exam-1", utc_zero_ms: 0, keep: () => null });
  if (!outcome.ok) throw new Error(outcome.fault.message);
  const { record } = outcome.value;
  expect(record.simulated).toBe(true);
  expect(record.stages).toEqual([]);
  expect(record.source_left.at(-1)?.outcome).toBe("safe");
  expect(record.ending?.ending).toBe("finished");
  const [examination] = record.examinations;
  if (examination === undefined) throw new Error("no examination in the record");
  expect(examination.ending?.outcome).toBe("complete");
  return examinationReport(examined, examination).join("\n");
};

/** Zero error by the plant itself: where its output leaves zero on the way up from 3.6 mA, after a full stroke. */
const trueLiftOffError = (unit: string): number => {
  const { bench, station, unit: file } = jobOf(unit);
  const settings = simulatedSettings(bench, station, file);
  if (!settings.ok) throw new Error(settings.fault.message);
  const { plantSettings } = createSimulatedBench(settings.value);
  const inputs = Array.from({ length: 1000 }, (_, i) => -2.5 + 0.005 * i);
  const outputs = trueOutputs(plantSettings, inputs, { before: [0, 100, 0, -2.5] });
  return -(inputs[outputs.findIndex((output) => output > 1e-9)] ?? Number.NaN);
};

/** What the bench file says of its unit: response 0.8 s, leak 0.02 % of span a minute, zero error 1.2 %, dead band 0.02 %. */
describe("a test that explains, on the practice bench", () => {
  it("reads the time constant of the step", async () => {
    const report = await reportOf("ip-3-15-psi.yaml", "step-response");
    expect(report).toMatch(/step up \(10 to 90 %\): dead time 0\.\d+ s, T63 1\.\d+ s/);
    expect(report).toMatch(/time constants .*0\.8\d s|time constants 0\.7\d s|time constants .*0\.7\d s/);
  });

  it("reads the leak behind the closed valve", async () => {
    expect(await reportOf("ip-3-15-psi.yaml", "leak")).toMatch(/0\.02\d % of span a minute/);
  });

  it("finds lift-off of a range that begins at zero, through the whole run", async () => {
    const report = await reportOf("ip-0-75-psi.yaml", "lift-off");
    // Zero error +1.2 %, and the loop that opens on the way up from the lowest input, 3.6 mA.
    const percent = Number(/([-\d.]+) % of span \(the output/.exec(report)?.[1]);
    expect(Math.abs(percent - trueLiftOffError("ip-0-75-psi.yaml"))).toBeLessThan(0.05);
  });

  it("refuses lift-off for a range that does not begin at zero, and a test that it does not know", () => {
    expect(examinationFor(jobOf("ip-3-15-psi.yaml"), "lift-off")).toMatchObject({ ok: false });
    expect(examinationFor(jobOf("ip-3-15-psi.yaml"), "taste")).toMatchObject({
      ok: false,
      fault: { remedy: expect.stringContaining("step-response") },
    });
    expect(examinationList().map(({ name }) => name)).toContain("mounting");
  });
});
