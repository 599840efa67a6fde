import { execFileSync } from "node:child_process";
import { beforeAll, expect, it } from "vitest";
import { builtOnce } from "./build-once.ts";
import { run, temporaryFolder } from "./program.ts";

/**
 * The whole job over a serial line with a newer Node than the one that runs the tests; `STILLPOINT_NEWER_NODE` is the
 * path of its binary. Without it the test is skipped by name, except in CI.
 */
const newer = process.env["STILLPOINT_NEWER_NODE"] ?? "";
const majorOf = (version: string): number => Number(/^v?(\d+)\./u.exec(version)?.[1]);

beforeAll(() => builtOnce());

const name = "a newer Node does the whole job over a serial line";
const test = async (): Promise<void> => {
  const version = execFileSync(newer, ["--version"], { encoding: "utf8" });
  expect(majorOf(version)).toBeGreaterThan(majorOf(process.version));
  const { code, out, talk } = await run(["demo", "--factor", "40", "--output", temporaryFolder(), "--json"], {
    node: newer,
  });
  expect(talk).toMatch(/line-1 is \/dev\//u);
  // Nothing of the platform that we use is about to go.
  expect(talk).not.toMatch(/DeprecationWarning|ExperimentalWarning/u);
  expect(JSON.parse(out)).toMatchObject({ simulated: true, as_found: "fail", as_left: "pass", ending: "finished" });
  expect(code).toBe(0);
};

if (newer !== "" || process.env["CI"] === "true") it(name, test, 150_000);
else it.skip(`${name} (STILLPOINT_NEWER_NODE is not set)`, test);
