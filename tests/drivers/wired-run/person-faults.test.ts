import { afterAll, describe, expect, it } from "vitest";
import type { Job } from "../../../src/app/prepare-job.ts";
import type { Prompter } from "../../../src/ports/prompter.ts";
import type { RunOutput } from "../../../src/run/run-output.ts";
import { kPa } from "../../../src/vocabulary/quantities.ts";
import { practiceJob } from "../../app/practice-job.ts";
import { seededRandom } from "../wire-faults.ts";
import { virtualStation } from "./virtual-station.ts";

/**
 * What a person does wrong at a dial or a hand-held source, in every phase of a run, with the whole pipeline on a virtual
 * clock. Wanted in each cell: a right reading or a named fault, and a safe bench or a plain word that it is not known.
 * One mistake is beyond any program: the same wrong number typed twice in a row, once the preflight is over. So nobody here
 * makes two mistakes one after the other; who always takes the wrong unit is found out by the preflight.
 */
const FAULTS = [
  "wrong number",
  "wrong unit",
  "other unit, right value",
  "no unit",
  "decimal comma",
  "words",
  "no answer",
  "gives up",
] as const;
type PersonFault = (typeof FAULTS)[number];
const PHASES = ["idle", "settling", "capturing", "commanding"] as const;
type Phase = (typeof PHASES)[number];

const ROUNDS = 1;
const READABLE = 0.05;
/** What a person takes to look and type, s. */
const ANSWER_S = 2;
/** Readings of a hand-read gauge count from 10 s after the last command; see the rule for it. */
const CAPTURE_FROM_S = 10;
const DWELL_S = 8;
const AVERAGE_S = 4;
const PSI_KPA = 6.894757293168;
/** Often enough to meet every phase, seldom enough that two readings in a row can agree. */
const CHANCE = 0.25;

interface Cell {
  readonly injected: number;
  readonly readings: number;
  readonly wrong: number;
  readonly ending: string;
  readonly code: string;
  readonly left: string;
  readonly safe: boolean;
}

/** A real dial on a simulated unit is a mixture that the preflight refuses; here it is the very thing that is wanted. */
const MIXED = { "simulated-mark": { name: "A. Technician", reason: "a person at a simulated bench" } };

/** What the bench file would say of a gauge with the driver `person`. */
const byHand = (job: Job, role: "gauge" | "source"): Job => {
  if (role === "source") return job;
  const { preflight } = job;
  return { ...job, preflight: { ...preflight, gauge: { ...preflight.gauge, readable_kPa: kPa(READABLE) } } };
};

const typedWrong = (fault: PersonFault, value: number, unit: "kPa" | "mA", random: () => number): string | null => {
  switch (fault) {
    case "wrong number":
      return `${(value + (random() < 0.5 ? -1 : 1) * (2 + 40 * random())).toFixed(2)} ${unit}`;
    case "wrong unit":
      return unit === "kPa" ? `${(value / PSI_KPA).toFixed(3)} kPa` : `${(value / 1000).toFixed(5)} mA`;
    case "other unit, right value":
      return unit === "kPa" ? `${(value / PSI_KPA).toFixed(4)} psi` : `${(value / 1000).toFixed(5)} A`;
    case "no unit":
      return value.toFixed(2);
    case "decimal comma":
      return `${value.toFixed(2).replace(".", ",")} ${unit}`;
    case "words":
      return "about the same";
    case "no answer":
    case "gives up":
      return null;
  }
};

const runCell = async (
  role: "gauge" | "source",
  fault: PersonFault,
  phase: Phase,
  round: number,
  always = false,
): Promise<Cell> => {
  const plan = {
    points: [10, 90],
    exercise_strokes: 0,
    settling: { rule: "fixed-dwell", dwell_s: DWELL_S, average_s: AVERAGE_S },
  } as const;
  const job = byHand(
    practiceJob({ bench: "simulated-tcp", gauge_noise: 0 }, { adjust: "never", plan, overrides: MIXED }),
    role,
  );
  const random = seededRandom(round * 1000 + FAULTS.indexOf(fault) * 10 + PHASES.indexOf(phase));
  let injected = 0;
  let erred = false;
  let ending = false;
  let checking = true;
  let commanded_s = Number.POSITIVE_INFINITY;
  /** Truths at the moments at which the person looked. */
  const seen: number[] = [];
  let handSet_mA = job.safe_mA as number;

  const station = virtualStation(job, {
    byHand: {
      roles: [role],
      readability: READABLE,
      prompter: (model, timers): Prompter => ({
        ask: ({ text }, signal) =>
          new Promise((resolve) => {
            signal.addEventListener("abort", () => resolve(null));
            timers.after(ANSWER_S, () => {
              model.advanceTo(timers.now_s());
              if (/serial number/u.test(text)) {
                const { source, gauge } = job.bench.stations[job.station] ?? {};
                const name = role === "source" ? source : gauge;
                resolve(job.bench.instruments[name ?? ""]?.serial_number ?? "");
                return;
              }
              const wanted = /Set \S+ to ([\d.]+) mA/u.exec(text)?.[1];
              if (wanted !== undefined) {
                handSet_mA = Number(wanted);
                model.source.touch();
                model.source.set(handSet_mA as never);
              }
              const value = role === "source" ? handSet_mA : model.truth().pressure_kPa;
              if (role === "gauge") seen.push(value);
              const now: Phase =
                role === "source"
                  ? "commanding"
                  : checking
                    ? "idle"
                    : timers.now_s() - commanded_s < CAPTURE_FROM_S
                      ? "settling"
                      : "capturing";
              const unit = role === "source" ? "mA" : "kPa";
              const errs = always || (!erred && random() < CHANCE);
              erred = false;
              if (!ending && now === phase && errs) {
                erred = true;
                injected += 1;
                if (fault === "no answer") return;
                resolve(typedWrong(fault, value, unit, random));
                return;
              }
              resolve(`${value.toFixed(3)} ${unit}`);
            });
          }),
      }),
    },
  });
  let readings = 0;
  let wrong = 0;
  const watch = (output: RunOutput): void => {
    if (output.type === "live") {
      if (output.live.kind === "making-safe") ending = true;
      if (output.live.kind !== "pressure" || role !== "gauge") return;
      readings += 1;
      const { kPa } = output.live;
      // One of the last looks of the person, within what can be read on the dial.
      if (!seen.slice(-4).some((truth) => Math.abs(truth - kPa) <= 1.5 * READABLE)) wrong += 1;
      return;
    }
    const { event } = output;
    if (event.kind === "stage-started") checking = event.stage === "preflight";
    if (event.kind === "commanded") {
      commanded_s = output.at_s;
      if (role === "source" && Math.abs(event.confirmed_mA - handSet_mA) > 1.5 * READABLE) wrong += 1;
    }
  };
  const { record } = await station.run(watch);
  return {
    injected,
    readings,
    wrong,
    ending: record.ending?.ending ?? "none",
    code: record.ending?.fault?.code ?? record.ending?.fault?.message ?? "",
    left: record.source_left.at(-1)?.outcome ?? "none",
    safe: Math.abs(station.model.source.commanded_mA() - job.safe_mA) < 1e-3,
  };
};

const totals = { cells: 0, injected: 0, readings: 0, finished: 0 };

for (const role of ["gauge", "source"] as const) {
  describe(`a ${role} worked by hand`, () => {
    for (const phase of PHASES.filter((each) => (each === "commanding") === (role === "source"))) {
      it(`while ${phase}: a right reading or a named fault, and the source safe, for each of ${FAULTS.length} mistakes`, async () => {
        for (const fault of FAULTS) {
          for (let round = 0; round < ROUNDS; round += 1) {
            const cell = await runCell(role, fault, phase, round);
            const name = `${role} ${phase} ${fault}: ${JSON.stringify(cell)}`;
            totals.cells += 1;
            totals.injected += cell.injected;
            totals.readings += cell.readings;
            if (cell.ending === "finished") totals.finished += 1;
            expect(cell.injected, name).toBeGreaterThan(0);
            expect(cell.wrong, name).toBe(0);
            expect(["finished", "fault", "stopped"], name).toContain(cell.ending);
            if (cell.ending === "fault") expect(cell.code, name).toMatch(/^[a-z]+(-[a-z]+)+$|^silence$/u);
            // A source that is set by hand is safe when the person says so; else the record says that it is not known.
            expect(cell.left === "unknown" || (cell.left === "safe" && cell.safe), name).toBe(true);
          }
        }
      }, 60_000);
    }
  });
}

it("a dial in psi that is always typed as kPa does not get past the preflight", async () => {
  const cell = await runCell("gauge", "wrong unit", "idle", 0, true);
  expect(cell).toMatchObject({ ending: "fault", code: "preflight-failed", left: "safe", safe: true });
}, 60_000);

afterAll(() => {
  const { cells, injected, readings, finished } = totals;
  process.stdout.write(
    `mistakes of a person: ${cells} runs, ${injected} mistakes, ${readings} readings taken, 0 wrong; ${finished} runs finished all the same\n`,
  );
});
