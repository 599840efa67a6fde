import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect } from "vitest";
import type { EndpointPlace, Endpoints } from "../../src/app/endpoints.ts";
import { fallbackAfter } from "../../src/app/open-station.ts";
import { builtOnce } from "./build-once.ts";
import { type LoopCurrent, watchLoop } from "./loop-current.ts";
import { benchFile, type Program, start, startSimulator, temporaryFolder } from "./program.ts";
import { isThere, itWith, mbpollFloat } from "./witness.ts";

/**
 * However a run ends, the source stands at its safe current: a person's Ctrl-C, a SIGTERM, an error of the program, and
 * a harness that is gone. The simulated bench is a process of its own, so that it outlives all of it, and mbpoll reads
 * back from the source what it drives.
 */
const FACTOR = 20;
const SAFE_mA = 4;
const withMbpoll = itWith("mbpoll", isThere("mbpoll", ["-V"]));
const isSafe = (current_mA: number): boolean => Math.abs(current_mA - SAFE_mA) < 0.05;
const isDriven = (current_mA: number): boolean => current_mA > 8;

let endpoints: Endpoints;
let file: string;
let loop: LoopCurrent;

beforeAll(async () => {
  await builtOnce();
  ({ endpoints, file } = await startSimulator("simulated-tcp", FACTOR));
  loop = await watchLoop(endpoints);
});

afterAll(() => loop?.close());

const calibrate = (): Program =>
  start([
    "calibrate",
    ...["--bench", benchFile("simulated-tcp"), "--unit", benchFile("ip-3-15-psi"), "--simulator", file],
    ...["--yes", "--operator", "A. Technician", "--output", temporaryFolder()],
  ]);

/** What the source says that it commands and drives, over the link of the instruments. */
const readBack = async (at: EndpointPlace | undefined): Promise<readonly number[]> => {
  if (at === undefined) throw new Error("the bench serves no such link");
  return [await mbpollFloat(at, 1, "holding", 64), await mbpollFloat(at, 1, "input", 0)];
};

const expectSafe = async (): Promise<void> => {
  for (const current of await readBack(endpoints.links["gateway"])) expect(current).toBeCloseTo(SAFE_mA, 2);
};

describe("the source stands at its safe current", () => {
  withMbpoll("within a second of Ctrl-C, and the program says so and ends with 130", async () => {
    const program = calibrate();
    expect(await loop.until(isDriven, 30_000)).toBeLessThan(30_000);
    program.kill("SIGINT");
    expect(await loop.until(isSafe, 1000)).toBeLessThan(1000);
    const { code, talk } = await program.ended;
    await expectSafe();
    expect(talk).toMatch(/^Stopping: the source is being made safe\.$/mu);
    expect(talk).toMatch(/source left safe at 4\.000 mA/u);
    expect(code).toBe(130);
  });

  withMbpoll("within a second of SIGTERM, with 7", async () => {
    const program = calibrate();
    expect(await loop.until(isDriven, 30_000)).toBeLessThan(30_000);
    program.kill("SIGTERM");
    expect(await loop.until(isSafe, 1000)).toBeLessThan(1000);
    const { code, talk } = await program.ended;
    await expectSafe();
    expect(talk).toMatch(/source left safe at 4\.000 mA/u);
    expect(talk).toMatch(/run stopped/u);
    expect(code).toBe(7);
  });

  for (const how of ["view", "promise"]) {
    withMbpoll(`within a second of an error of the program (${how}), with 1`, async () => {
      const broken = fileURLToPath(new URL("./breaking-run.ts", import.meta.url));
      const program = start([file, how], { file: broken, nodeArguments: ["--import", "tsx"] });
      await program.says(/Breaking now/u, 60_000);
      expect(await loop.until(isSafe, 1000)).toBeLessThan(1000);
      const { code, talk } = await program.ended;
      await expectSafe();
      expect(talk).toMatch(/unexpected trouble, please report it: Error: an error that nobody foresaw/u);
      expect(talk).toMatch(/^The source was left at its safe value, 4\.000 mA\.$/mu);
      expect(talk).not.toMatch(/as if nothing had happened/u);
      expect(code).toBe(1);
    });
  }

  withMbpoll("by itself after the armed fallback, when the harness was killed", async () => {
    const fallback_ms = (fallbackAfter(FACTOR) / FACTOR) * 1000;
    const program = calibrate();
    expect(await loop.until(isDriven, 30_000)).toBeLessThan(30_000);
    program.kill("SIGKILL");
    expect((await program.ended).signal).toBe("SIGKILL");
    expect(isDriven(await loop.now())).toBe(true);
    // The bench has to wait its time, and may be late by its own round.
    const took_ms = await loop.until(isSafe, fallback_ms + 1000);
    expect(took_ms).toBeLessThan(fallback_ms + 1000);
    expect(took_ms).toBeGreaterThan(fallback_ms / 4);
    await expectSafe();
  });
});

describe("where the source does not answer", () => {
  withMbpoll("Ctrl-C ends the run, says that it could not, and what to do by hand", async () => {
    const program = calibrate();
    expect(await loop.until(isDriven, 30_000)).toBeLessThan(30_000);
    await loop.silenceSource(true);
    program.kill("SIGINT");
    const { code, talk } = await program.ended;
    expect(talk).toMatch(
      /HOW THE SOURCE WAS LEFT IS NOT KNOWN: .+Shut the supply and switch the source off by hand\./u,
    );
    expect(code).toBe(130);
    await loop.silenceSource(false);
    expect(await loop.until(isSafe, 10_000)).toBeLessThan(10_000);
    await expectSafe();
  });
});
