import { mkdtempSync, rmSync, symlinkSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, expect, it } from "vitest";
import { settingsFromWishes } from "../../drivers/simulated/bench-settings.ts";
import {
  type ServedBench,
  type ServedUnit,
  serveSimulatedBench,
} from "../../drivers/simulated/serve-simulated-bench.ts";
import { createSimulatedBench, type SimulatedBench } from "../../drivers/simulated/simulated-bench.ts";
import { SERVICE_UNIT } from "../../src/app/serve-bench.ts";
import { simulatedSettings } from "../../src/app/simulated-settings.ts";
import { startWiredJob } from "../../src/app/wired-job.ts";
import type { RunRecord } from "../../src/readings/run-record.ts";
import type { RunOutput } from "../../src/run/run-output.ts";
import { must, practiceJob } from "../app/practice-job.ts";

/**
 * A USB adapter pulled out while a point settles, and plugged in again under another name: a pseudo-terminal that hangs
 * up and comes back as another one. The bench file names the port by a pattern. No waiting but for the bytes.
 */
const FACTOR = 15;
const PLAN = { points: 3, exercise_strokes: 0, settling: { rule: "fixed-dwell", dwell_s: 12, average_s: 3 } } as const;

const folder = mkdtempSync(join(tmpdir(), "stillpoint-unplug-"));
let served: ServedBench | null = null;
afterEach(async () => {
  await served?.close();
  rmSync(folder, { recursive: true, force: true, maxRetries: 2 });
});

const parsed = practiceJob({ bench: "simulated-serial" }, { adjust: "never", plan: PLAN });
const [lineName = "", line] = Object.entries(parsed.bench.links)[0] ?? [];
if (line?.kind !== "serial") throw new Error("the practice bench hangs on a serial line");

/** Units as the bench file addresses them. */
const unitsOf = (gauge?: SimulatedBench): readonly ServedUnit[] => {
  const slots = parsed.bench.stations[parsed.station];
  return Object.entries(parsed.bench.instruments).map(([name, { address = 0 }]) => {
    const device = name === slots?.source ? "source" : name === slots?.gauge ? "gauge" : "meter";
    return { address, device, ...(device === "gauge" && gauge !== undefined ? { bench: gauge } : {}) };
  });
};

/** Runs the job and pulls the plug once, at the second point; `back` tells what is plugged in again. */
const runWithPull = async (
  back: (bench: ServedBench) => void,
  /** Where the pattern stands that names the port: in the bench file, or in the endpoints of a simulated bench. */
  named: "bench file" | "endpoints" = "bench file",
): Promise<RunRecord & { readonly backs: number }> => {
  const names = mkdtempSync(join(tmpdir(), "stillpoint-ports-"));
  const bench = createSimulatedBench(must(simulatedSettings(parsed.bench, parsed.station, parsed.unit)));
  served = must(
    await serveSimulatedBench({
      bench,
      lines: [{ name: lineName, units: unitsOf() }],
      tcp: [{ name: "service", units: [{ address: SERVICE_UNIT, device: "service" }] }],
      factor: FACTOR,
      now: () => performance.now() / 1000,
    }),
  );
  const link = (name: string): void => {
    const end = served?.endpoints.get(lineName);
    if (end?.kind !== "serial") throw new Error("no serial line");
    symlinkSync(end.path, join(names, name));
  };
  link("adapter-1");
  const service = served.endpoints.get("service");
  if (service === undefined) throw new Error("no service registers");
  const pattern = `${names}/adapter-*`;
  const job =
    named === "endpoints"
      ? parsed
      : { ...parsed, bench: { ...parsed.bench, links: { [lineName]: { ...line, port: pattern } } } };
  const links = named === "endpoints" ? { [lineName]: { kind: "serial" as const, path: pattern } } : {};
  let pulled = false;
  let points = 0;
  /** Times the run found every instrument to be who it was. */
  let backs = 0;
  const watch = (output: RunOutput): void => {
    if (output.type === "record" && output.event.kind === "point-captured") points += 1;
    if (output.type === "live" && output.live.kind === "line-back") backs += 1;
    const settling = output.type === "live" && output.live.kind === "verdict" && output.live.waited_s > 4;
    if (pulled || points !== 1 || !settling) return;
    pulled = true;
    const now = served;
    now?.unplug(lineName);
    rmSync(join(names, "adapter-1"));
    setTimeout(() => {
      if (now !== null) back(now);
      link("adapter-2");
    }, 250);
  };
  const outcome = await startWiredJob(job, {
    run_id: "unplugged",
    keep: () => null,
    watch,
    endpoints: { format: "stillpoint-endpoints 1", simulated: true, factor: FACTOR, links, service },
    hand: null,
    say: () => undefined,
  }).outcome;
  rmSync(names, { recursive: true, force: true });
  expect(pulled).toBe(true);
  return { ...must(outcome).record, backs };
};

it("goes on with the point after every instrument was asked who it is", async () => {
  const record = await runWithPull((bench) => must(bench.replug(lineName)));
  expect(record.ending).toMatchObject({ ending: "finished" });
  const [stage] = record.stages;
  expect(stage?.points.map((point) => point.nominal_percent)).toEqual([0, 50, 100, 50, 0]);
  // At this speed of the clock the run may miss its readings before the line says that it is gone.
  expect(record.troubles.map(({ fault }) => fault.code).join()).toMatch(/^(line-lost|no-new-data)$/u);
  expect(record.backs).toBe(1);
  expect(record.source_left.at(-1)).toMatchObject({ outcome: "safe" });
}, 60_000);

it("finds the port again by the endpoints of a simulated bench too, and refuses a gauge of another serial number by its number", async () => {
  const other = createSimulatedBench({
    ...must(simulatedSettings(parsed.bench, parsed.station, parsed.unit)),
    serial_numbers: { ...settingsFromWishes().serial_numbers, gauge: "SIM-GAUGE-77" },
  });
  const record = await runWithPull(
    (bench) => must(bench.replug(lineName, { name: lineName, units: unitsOf(other) })),
    "endpoints",
  );
  expect(record.ending).toMatchObject({ ending: "fault", fault: { code: "wrong-identity" } });
  expect(record.ending?.ending === "fault" ? record.ending.fault?.message : "").toMatch(
    /The line came back, but gauge is serial number SIM-GAUGE-77 .*the bench file says SIM-GAUGE-1/u,
  );
  expect(record.stages.flatMap((stage) => stage.points)).toHaveLength(1);
  expect(record.source_left.at(-1)).toMatchObject({ outcome: "safe" });
}, 60_000);
