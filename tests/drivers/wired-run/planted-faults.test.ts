import { VirtualTimeScheduler } from "rxjs";
import { describe, expect, it } from "vitest";
import { readProfile } from "../../../drivers/profiles/read-profile.ts";
import { encodeNumber } from "../../../drivers/registers/register-value.ts";
import { deviceRegisters } from "../../../drivers/simulated/device-registers.ts";
import type { SimulatedBench } from "../../../drivers/simulated/simulated-bench.ts";
import { createVirtualHand } from "../../../drivers/simulated/simulated-hand.ts";
import { createVirtualBench } from "../../../drivers/simulated/virtual-bench.ts";
import type { Job } from "../../../src/app/prepare-job.ts";
import { runJob } from "../../../src/app/run-job.ts";
import { simulatedSettings } from "../../../src/app/simulated-settings.ts";
import type { RunRecord } from "../../../src/readings/run-record.ts";
import { spanOf } from "../../../src/vocabulary/signal-range.ts";
import { must, practiceJob } from "../../app/practice-job.ts";
import { virtualStation } from "./virtual-station.ts";

/**
 * Troubles of a bench, planted through the service registers of the simulated one as any Modbus client can, over bytes
 * and the drivers. Each has to be named by a check that says what it saw, what that means and what to do.
 */
const PLAN = {
  points: 3,
  exercise_strokes: 0,
  settling: { rule: "fixed-dwell", dwell_s: 8, average_s: 3 },
} as const;

const service = must(readProfile("simulated-service-registers"));
if (service.kind !== "registers") throw new Error("the service registers are registers");

const plant = (bench: SimulatedBench, name: string, value: number): void => {
  const field = service.commands[name];
  if (field === undefined) throw new Error(`no service register ${name}`);
  const bank = deviceRegisters(bench, "service", 1);
  const done =
    field.type === "bool"
      ? bank.writeCoils(field.address, [value !== 0])
      : bank.writeHolding(field.address, Uint16Array.from(encodeNumber(value, field) ?? []));
  expect(done, name).toBe(true);
};

const failedOf = (record: RunRecord) => record.preflight.filter((check) => check.outcome === "failed");

const job = (
  more: Partial<Parameters<typeof practiceJob>[1]> = {},
  wishes: Parameters<typeof practiceJob>[0] = {},
): Job => practiceJob(wishes, { adjust: "never", plan: PLAN, ...more });

const runWith = async (name: string, value: number, which: Job = job()): Promise<RunRecord> => {
  const station = virtualStation(which);
  plant(station.model, name, value);
  const { record } = await station.run();
  expect(record.source_left.at(-1)?.outcome, "source").toBe(name === "loop_open" ? "unknown" : "safe");
  return record;
};

type Planted = readonly [trouble: string, name: string, value: number, check: string, saw: RegExp, remedy: RegExp];

const PLANTED: readonly Planted[] = [
  ["P1 words of the float in another order", "gauge_word_order", 1, "gauge-alive", /order CDAB/u, /gauge/u],
  ["P1 bytes in another order", "gauge_word_order", 2, "gauge-alive", /order BADC/u, /gauge/u],
  ["P1 words and bytes in another order", "gauge_word_order", 3, "gauge-alive", /order DCBA/u, /gauge/u],
  ["P2 address off by one", "gauge_address_shift", 1, "gauge-alive", /the address in the profile/u, /gauge/u],
  [
    "P9 gauge gives no answer",
    "gauge_silent",
    1,
    "instruments-answer",
    /gauge .*did not answer/u,
    /power, cable, address/u,
  ],
  ["P14 gauge left in psi", "gauge_unit", 3, "instruments-answer", /unit is psi, wanted is kPa/u, /unit/u],
  ["P15 gauge for absolute", "gauge_mode", 1, "instruments-answer", /mode is absolute, wanted is gauge/u, /unit/u],
  ["P16 tare left on", "gauge_tare", 1.5, "instruments-answer", /tare is 1\.5, wanted is 0/u, /unit/u],
  ["P21 not warmed up", "gauge_not_warmed_up", 1, "gauge-alive", /not warmed up/u, /gauge/u],
  ["broken sensor", "gauge_sensor_fault", 1, "gauge-alive", /sensor fault/u, /gauge/u],
  ["display in hold", "gauge_hold", 1, "gauge-alive", /measured nothing new for 2\.\d s/u, /gauge/u],
  ["loop open", "loop_open", 1, "source-safe", /loop-source reports: loop open/u, /source/u],
  [
    "P26 not enough loop voltage",
    "loop_resistance",
    1400,
    "top-of-range",
    /17\.14\d mA flow where 20\.000 mA/u,
    /resistance out of the loop/u,
  ],
  ["P29 supply low", "supply", 100, "supply-in-band", /supply 100\.\d kPa, rated 124\.1/u, /regulator/u],
  ["P29 supply too high", "supply", 250, "supply-in-band", /supply 250\.\d kPa/u, /regulator/u],
];

describe("troubles that are there from the start", () => {
  for (const [trouble, name, value, check, saw, remedy] of PLANTED) {
    it(`${trouble}: ${check} names it`, async () => {
      const record = await runWith(name, value);
      const [first] = failedOf(record);
      expect(first).toMatchObject({ check });
      expect(first?.saw).toMatch(saw);
      expect(first?.means?.length).toBeGreaterThan(10);
      expect(first?.remedy).toMatch(remedy);
      expect(record.ending).toMatchObject({ ending: "fault", fault: { kind: "preflight" } });
      expect(record.stages.flatMap((stage) => stage.points)).toEqual([]);
    });
  }

  it("goes on after an override with name and reason, which stands among the deviations", async () => {
    const overrides = { "supply-in-band": { name: "R. Brandt", reason: "gauge of the regulator read instead" } };
    const record = await runWith("supply", 121, job({ overrides }));
    expect(failedOf(record)).toMatchObject([{ check: "supply-in-band", overridden_by: overrides["supply-in-band"] }]);
    expect(record.ending?.ending).toBe("finished");
    expect(JSON.stringify(record.deviations)).toContain("R. Brandt");
  });
});

describe("a unit that is not what its file says (P19)", () => {
  const taken = async (unit: string, as: Job): Promise<RunRecord> => {
    const other = job({}, { unit });
    // The bench is that of the other unit; the files are those of the one it is taken for.
    const settings = must(simulatedSettings(other.bench, other.station, other.unit));
    const scheduler = new VirtualTimeScheduler();
    const bench = createVirtualBench({ ...settings, start_mA: as.safe_mA }, scheduler, { safe_mA: as.safe_mA });
    const outcome = runJob(as, {
      run_id: "mistaken",
      keep: () => null,
      utc_zero_ms: 0,
      bench,
      hand: createVirtualHand(bench.model, scheduler, { seed: 1, span_kPa: spanOf(as.transfer.output) }),
      clock: { kind: "virtual", factor: 0, scheduler, zero_ms: 0 },
    });
    scheduler.flush();
    return (await outcome).record;
  };

  it("reverse action", async () => {
    const [first] = failedOf(await taken("ip-reverse", job()));
    expect(first?.check).toBe("vented-zero");
    expect(`${first?.means}`).toMatch(/action.*reverse/u);
  });

  it("half the signal range", async () => {
    const [first] = failedOf(await taken("ip-split-low", job()));
    expect(first?.check).toBe("two-point-sanity");
    expect(first?.saw).toMatch(/not the range that was expected/u);
    expect(first?.remedy).toMatch(/input range/u);
  });
});

describe("a leak behind a valve that closes by itself (P20)", () => {
  const lossOf = async (leak: number) => {
    const which = job({}, { converter: { leak } });
    const settings = must(simulatedSettings(which.bench, which.station, which.unit));
    const scheduler = new VirtualTimeScheduler();
    const bench = createVirtualBench(settings, scheduler, { safe_mA: which.safe_mA, with_valve: true });
    const outcome = runJob(which, {
      run_id: "leak",
      keep: () => null,
      utc_zero_ms: 0,
      bench,
      hand: createVirtualHand(bench.model, scheduler, { seed: 1, span_kPa: spanOf(which.transfer.output) }),
      clock: { kind: "virtual", factor: 0, scheduler, zero_ms: 0 },
    });
    scheduler.flush();
    const { record } = await outcome;
    return { check: record.preflight.find(({ check }) => check === "leak"), ending: record.ending?.ending };
  };

  it("is named with its rate, and a tight bench passes", async () => {
    const leaking = await lossOf(5);
    expect(leaking.check).toMatchObject({ outcome: "failed" });
    // 5 % of 82.7 kPa a minute at the full output.
    expect(Number(/^(\S+) kPa lost/u.exec(leaking.check?.saw ?? "")?.[1])).toBeCloseTo(4.1, 0);
    expect(leaking.ending).toBe("fault");
    const tight = await lossOf(0.02);
    expect(tight.check).toMatchObject({ outcome: "passed" });
    expect(tight.ending).toBe("finished");
  });
});

describe("troubles that come in the middle of a run", () => {
  const during: readonly (readonly [string, string, number, RegExp])[] = [
    ["P13 gauge restarted in another unit", "gauge_unit", 2, /unit is bar, wanted is kPa/u],
    ["P17 somebody tares the gauge", "gauge_tare", 0.4, /tare is 0\.4\d*, wanted is 0/u],
  ];
  for (const [trouble, name, value, saw] of during) {
    it(`${trouble}: found at the end, and the run gives no result`, async () => {
      const station = virtualStation(job());
      let points = 0;
      const { record } = await station.run((output) => {
        if (output.type !== "record" || output.event.kind !== "point-captured") return;
        points += 1;
        if (points === 4) plant(station.model, name, value);
      });
      const [first] = failedOf(record);
      expect(first?.check).toBe("settings-after");
      expect(first?.saw).toMatch(saw);
      expect(record.ending).toMatchObject({ ending: "fault", fault: { code: "preflight-failed" } });
      expect(record.source_left.at(-1)?.outcome).toBe("safe");
    });
  }
});
