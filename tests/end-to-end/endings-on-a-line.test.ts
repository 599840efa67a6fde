import { readFileSync } from "node:fs";
import { afterAll, beforeAll, expect, it } from "vitest";
import type { Endpoints } from "../../src/app/endpoints.ts";
import { builtOnce } from "./build-once.ts";
import { type LoopCurrent, watchLoop } from "./loop-current.ts";
import { benchFile, type Program, start, startSimulator, temporaryFolder } from "./program.ts";
import { isThere, itWith, mbpollFloat } from "./witness.ts";

/** The same over a serial line, nearly as slow as life: stopped by the person at the first point that is driven. */
const FACTOR = 2;
const withMbpoll = itWith("mbpoll", isThere("mbpoll", ["-V"]));

let endpoints: Endpoints;
let file: string;
let loop: LoopCurrent;

beforeAll(async () => {
  await builtOnce();
  ({ endpoints, file } = await startSimulator("simulated-serial", FACTOR));
  loop = await watchLoop(endpoints);
});

afterAll(() => loop?.close());

const calibrate = (): Program =>
  start([
    "calibrate",
    ...["--bench", benchFile("simulated-serial"), "--unit", benchFile("ip-3-15-psi"), "--simulator", file],
    ...["--yes", "--operator", "A. Technician", "--output", temporaryFolder(), "--json"],
  ]);

const driven = async (): Promise<void> => {
  expect(await loop.until((current_mA) => current_mA > 8, 50_000)).toBeLessThan(50_000);
};

withMbpoll(
  "Ctrl-C on a serial line: safe within a second, read back over the line once the run has let go of it",
  async () => {
    const program = calibrate();
    await driven();
    program.kill("SIGINT");
    expect(await loop.until((current_mA) => Math.abs(current_mA - 4) < 0.05, 1000)).toBeLessThan(1000);
    const { code, out, talk } = await program.ended;
    const line = endpoints.links["line-1"];
    if (line === undefined) throw new Error("no line");
    expect(await mbpollFloat(line, 1, "holding", 64)).toBeCloseTo(4, 3);
    expect(await mbpollFloat(line, 1, "input", 0)).toBeCloseTo(4, 2);
    expect(talk).toMatch(/source left safe at 4\.000 mA/u);
    expect(code).toBe(130);
    const result = JSON.parse(out) as { readonly ending: string; readonly record: string };
    expect(result.ending).toBe("stopped");
    const kinds = readFileSync(result.record, "utf8")
      .trimEnd()
      .split("\n")
      .map((text) => (JSON.parse(text) as { readonly event?: { readonly kind: string } }).event?.kind);
    expect(kinds.slice(-2)).toEqual(["source-left", "run-ended"]);
  },
  90_000,
);

it("a second Ctrl-C leaves at once, when the source is dumb and making it safe takes its time", async () => {
  const program = calibrate();
  await driven();
  await loop.silenceSource(true);
  program.kill("SIGINT");
  await program.says(/^Stopping: the source is being made safe\.$/mu);
  const asked = performance.now();
  program.kill("SIGINT");
  const { code, talk } = await program.ended;
  expect(performance.now() - asked).toBeLessThan(500);
  expect(talk).toMatch(/left at once; the outputs are as they were\. Shut the supply and check the source\./u);
  expect(talk).not.toMatch(/source left safe/u);
  expect(code).toBe(130);
}, 90_000);
