import { afterAll, describe, expect, it } from "vitest";
import type { RunOutput } from "../../../src/run/run-output.ts";
import { practiceJob } from "../../app/practice-job.ts";
import { faultProxy, seededRandom, WIRE_FAULTS, type WireFault } from "../wire-faults.ts";
import { virtualStation } from "./virtual-station.ts";

/**
 * Every fault of the wire on every kind of driver in every phase of a run, with the whole pipeline on a virtual clock.
 * Wanted in each cell: the right reading or a named fault, and a safe bench. Each measurement of the simulated gauge is
 * a number of its own (its noise has no display digit), so whatever the run takes for a reading can be held against what
 * the gauge said, and when.
 */
type Phase = "idle" | "settling" | "capturing" | "commanding";
const PHASES: readonly Phase[] = ["idle", "settling", "capturing", "commanding"];
const BENCHES = ["simulated-serial", "simulated-tcp", "simulated-lines"] as const;
const FAULTS = [...WIRE_FAULTS, "silence"] as const;

/** Chance of a fault per answer in the phase, and the most in a cell: between them the line has to find its feet. */
const CHANCE = 0.35;
const MOST = 80;
const DWELL_S = 10;
const AVERAGE_S = 4;
const SILENCE_S = 4;

interface Cell {
  readonly injected: number;
  readonly readings: number;
  readonly wrong: number;
  readonly ending: string;
  readonly code: string;
  readonly left: string;
  readonly safe: boolean;
}

/** The same cell is run with this many seeds. */
const ROUNDS = 2;

const runCell = async (
  bench: (typeof BENCHES)[number],
  fault: (typeof FAULTS)[number],
  phase: Phase,
  round: number,
  keepQuiet = true,
): Promise<Cell> => {
  const plan = {
    points: [10, 90],
    exercise_strokes: 0,
    settling: { rule: "fixed-dwell", dwell_s: DWELL_S, average_s: AVERAGE_S },
  } as const;
  const job = practiceJob({ bench }, { adjust: "never", plan });
  const random = seededRandom(
    round * 10_000 + PHASES.indexOf(phase) * 1000 + FAULTS.indexOf(fault) * 10 + BENCHES.indexOf(bench),
  );
  let injected = 0;
  let checking = true;
  let commanded_s = Number.POSITIVE_INFINITY;
  let ending = false;
  /** Whether the source has had its say for a command, so that a fault meets the command itself. */
  const phaseNow = (now_s: number, ofSource: boolean): Phase => {
    if (ofSource) return "commanding";
    if (checking) return "idle";
    return now_s - commanded_s < DWELL_S - AVERAGE_S ? "settling" : "capturing";
  };

  const proxies: { readonly total: () => number }[] = [];
  const station = virtualStation(job, {
    ...(keepQuiet ? {} : { quiet_after_trouble_s: 0 }),
    between: (wire, answer, timers, framing) => {
      let mute_until_s = 0;
      let ofSource = false;
      const sourceUnit = job.bench.instruments[job.bench.stations[job.station]?.source ?? ""]?.address;
      const next = (): WireFault | null => {
        if (timers.now_s() < mute_until_s) return "drop";
        if (ending || injected >= MOST || phaseNow(timers.now_s(), ofSource) !== phase || random() > CHANCE)
          return null;
        injected += 1;
        if (fault !== "silence") return fault;
        mute_until_s = timers.now_s() + SILENCE_S;
        return "drop";
      };
      const proxy = faultProxy(wire, answer, {
        timers,
        random,
        next,
        answer_deadline_s: job.bench.links[wire.transport.where]?.answer_deadline.s ?? 0.5,
        // Late answers come within the quiet time that the bench file states; that is what it is stated for.
        latest_s: 0.9 * (job.bench.links[wire.transport.where]?.quiet_after_trouble.s ?? 0.2),
        duplicate_within_s: 0.0015,
        carries_over: framing !== "mbap",
        framing,
      });
      proxies.push(proxy);
      return (request) => {
        const unit = framing === "mbap" ? request[6] : request[0];
        ofSource = framing === "lines" ? wire.transport.where.includes("source") : unit === sourceUnit;
        proxy.device(request);
      };
    },
  });
  /** What the gauge has said, to the last bit, and when its request was heard. */
  const said = new Map<number, number>();
  const { gauge } = station.model;
  const shown = gauge.answer;
  gauge.answer = () => {
    const value = shown();
    const key = bench === "simulated-lines" ? Number(value.toPrecision(9)) : Math.fround(value);
    said.set(key, station.timers.now_s());
    return value;
  };
  const deadline_s = Math.max(...Object.values(job.bench.links).map((link) => link.answer_deadline.s));
  let readings = 0;
  let wrong = 0;
  const watch = (output: RunOutput): void => {
    if (output.type === "live") {
      if (output.live.kind === "making-safe") ending = true;
      if (output.live.kind !== "pressure") return;
      readings += 1;
      const heard_s = said.get(output.live.kPa);
      // The right number, and not one of an earlier question that was answered late.
      if (heard_s === undefined || output.at_s - heard_s > deadline_s + 0.001) wrong += 1;
      return;
    }
    const { event } = output;
    if (event.kind === "stage-started") checking = event.stage === "preflight";
    if (event.kind === "commanded") {
      commanded_s = output.at_s;
      if (Math.abs(event.confirmed_mA - station.model.source.commanded_mA()) > 1e-4) wrong += 1;
    }
  };
  const { record } = await station.run(watch);
  const left = record.source_left.at(-1);
  const run = record.ending;
  return {
    injected,
    readings,
    wrong,
    ending: run?.ending ?? "none",
    code: run?.fault?.code ?? "",
    left: left?.outcome ?? "none",
    safe: Math.abs(station.model.source.commanded_mA() - job.safe_mA) < 1e-3,
  };
};

const totals = { cells: 0, injected: 0, readings: 0, finished: 0 };

for (const bench of BENCHES) {
  describe(`faults on ${bench}`, () => {
    for (const phase of PHASES) {
      it(`while ${phase}: the right reading or a named fault, and a safe bench, for each of ${FAULTS.length} faults`, async () => {
        for (const fault of FAULTS) {
          for (let round = 0; round < ROUNDS; round += 1) {
            const cell = await runCell(bench, fault, phase, round);
            const name = `${bench} ${phase} ${fault}: ${JSON.stringify(cell)}`;
            totals.cells += 1;
            totals.injected += cell.injected;
            totals.readings += cell.readings;
            if (cell.ending === "finished") totals.finished += 1;
            expect(cell.injected, name).toBeGreaterThan(0);
            expect(cell.wrong, name).toBe(0);
            expect(["finished", "fault"], name).toContain(cell.ending);
            if (cell.ending === "fault") expect(cell.code, name).toMatch(/^[a-z]+(-[a-z]+)+$|^silence$/u);
            expect(cell.left, name).toBe("safe");
            expect(cell.safe, name).toBe(true);
          }
        }
      }, 60_000);
    }
  });
}

it("would find wrong readings on a line that were not kept quiet after trouble", async () => {
  let wrong = 0;
  for (let round = 0; round < 20; round += 1) {
    for (const bench of ["simulated-serial", "simulated-lines"] as const) {
      wrong += (await runCell(bench, "late", "settling", round, false)).wrong;
    }
  }
  expect(wrong).toBeGreaterThan(0);
}, 60_000);

afterAll(() => {
  const { cells, injected, readings, finished } = totals;
  process.stdout.write(
    `fault matrix: ${cells / ROUNDS} cells, ${ROUNDS} times each, ${injected} faults injected, ${readings} readings taken, 0 wrong; ${finished} runs finished all the same\n`,
  );
});
