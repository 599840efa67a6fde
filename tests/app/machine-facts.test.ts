import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect, it } from "vitest";
import { withMachineFacts } from "../../src/app/machine-facts.ts";
import { practiceJob, runWithModel } from "./practice-job.ts";

const folder = mkdtempSync(join(tmpdir(), "stillpoint-machine-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const PLAN = { points: 3, exercise_strokes: 0, settling: { rule: "fixed-dwell", dwell_s: 5, average_s: 2 } } as const;
const job = practiceJob({}, { adjust: "never", plan: PLAN });
const NOW_MS = Date.UTC(2026, 10, 25, 9, 17);

it("tells free space and clock, and what is known to be earlier: the latest certificate of the references", () => {
  const { machine } = withMachineFacts(job, folder, NOW_MS).preflight;
  expect(machine?.free_MB).toBeGreaterThan(0);
  expect(machine?.utc).toBe("2026-11-25T09:17:00.000Z");
  expect(machine?.not_before).toMatchObject({
    utc: "2026-09-14",
    what: expect.stringMatching(/^certificate SIM-26-/u),
  });
});

it("asks the nearest folder above one that is not there yet: it lies on the same disk", () => {
  const { machine } = withMachineFacts(job, join(folder, "later", "still"), NOW_MS).preflight;
  expect(machine?.free_MB).toBeGreaterThan(0);
});

it("keeps a run from starting on a computer whose clock is behind its own records", async () => {
  writeFileSync(join(folder, "20261124-090000-HC15-1-aaaa.record.jsonl"), "");
  const late = withMachineFacts(job, folder, Date.UTC(2026, 8, 20));
  const { outcome } = await runWithModel(late);
  const check = outcome.record.preflight.find((each) => each.check === "machine");
  expect(check).toMatchObject({ outcome: "failed" });
  expect(check?.saw).toMatch(/clock 2026-09-20T.*, but the record 20261124-090000-HC15-1-aaaa\.record\.jsonl is of /u);
  expect(outcome.record.ending).toMatchObject({ ending: "fault", fault: { code: "preflight-failed" } });
  const good = await runWithModel(withMachineFacts(job, folder, Date.now() + 60_000));
  expect(good.outcome.record.preflight.find((each) => each.check === "machine")?.outcome).toBe("passed");
});
