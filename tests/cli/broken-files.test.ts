import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { define as calibrate } from "../../src/cli/commands/calibrate.ts";
import { EXIT } from "../../src/cli/exit-codes.ts";
import { type BrokenRow, brokenBenches, brokenLaboratories, brokenUnits } from "../config/broken-rows.ts";
import { changed, goodBench, goodLaboratory, goodUnit, lineOf } from "../config/good-texts.ts";
import { builtOnce } from "../end-to-end/build-once.ts";
import { run } from "../end-to-end/program.ts";
import { runCommand } from "./in-process.ts";

/**
 * Every broken file of the table, given to the command that would drive an output. Its port does not exist, so a run that
 * tried to open it would end with another code; nothing may be written, and the answer comes at once.
 */
const good = { bench: goodBench, unit: goodUnit, laboratory: goodLaboratory };
type Role = keyof typeof good;
const roles: readonly Role[] = ["bench", "unit", "laboratory"];
const WITHIN_MS = 1000;

const home = mkdtempSync(join(tmpdir(), "stillpoint-broken-"));
const output = join(home, "reports");
afterAll(() => rmSync(home, { recursive: true, force: true }));

const write = (texts: Partial<Record<Role, string | Uint8Array>>): readonly string[] => {
  for (const role of roles) writeFileSync(join(home, `${role}.yaml`), texts[role] ?? good[role]);
  return [
    ...roles.flatMap((role) => [`--${role}`, join(home, `${role}.yaml`)]),
    ...["--yes", "--operator", "A. Technician", "--output", output],
  ];
};

const nothingWritten = (): void => {
  expect(readdirSync(home).toSorted()).toEqual(["bench.yaml", "laboratory.yaml", "unit.yaml"]);
};

/** The one complaint: `stillpoint: FILE:LINE:COLUMN  what is wrong. What to write.`, and what it means. */
const expectComplaint = (talk: string, role: Role, [, part, into, at, says, remedy]: BrokenRow): void => {
  const line = lineOf(changed(good[role], part, into), at);
  const places = [...talk.matchAll(/\.yaml:\d+:\d+ {2}/gu)];
  expect(places, talk).toHaveLength(1);
  expect(talk).toMatch(new RegExp(`^stillpoint: \\S+/${role}\\.yaml:${line}:\\d+ {2}\\S`, "u"));
  expect(talk).toContain(says);
  expect(talk).toContain(remedy);
  expect(talk).toContain("Nothing was opened and nothing was driven.");
};

const tables: readonly (readonly [Role, readonly BrokenRow[]])[] = [
  ["bench", brokenBenches],
  ["unit", brokenUnits],
  ["laboratory", brokenLaboratories],
];

describe.each(tables)("calibrate with a broken %s file", (role, rows) => {
  it.each(rows)("%s", async (...row) => {
    const args = write({ [role]: changed(good[role], row[1], row[2]) });
    const before = performance.now();
    const { code, out, talk } = await runCommand(calibrate, args);
    expect(performance.now() - before).toBeLessThan(WITHIN_MS);
    expect(code).toBe(EXIT.wrongUse);
    expectComplaint(talk, role, row);
    expect(out).toBe("");
    nothingWritten();
  });
});

it("has at least sixty cases", () => {
  expect(tables.reduce((sum, [, rows]) => sum + rows.length, 0)).toBeGreaterThanOrEqual(60);
});

describe("calibrate with what is no such file", () => {
  const cases: readonly (readonly [title: string, content: string | Uint8Array, says: RegExp])[] = [
    ["an empty file", "", /unit\.yaml:1:1 {2}\S/u],
    ["a file of comments", "# nothing yet\n", /unit\.yaml:\d+:\d+ {2}\S/u],
    ["a list", "- 4 mA\n- 20 mA\n", /unit\.yaml:1:1 {2}\S/u],
    ["one word", "converter\n", /unit\.yaml:1:1 {2}\S/u],
    ["bytes that are no text", Uint8Array.from({ length: 64 }, (_, i) => (i * 37) % 256), /unit\.yaml:\d+:\d+ {2}\S/u],
  ];
  it.each(cases)("%s", async (_title, content, says) => {
    const { code, talk } = await runCommand(calibrate, write({ unit: content }));
    expect(talk).toMatch(says);
    expect(code).toBe(EXIT.wrongUse);
    nothingWritten();
  });

  it("no file at all, or a folder: the path is named", async () => {
    const args = write({});
    for (const path of [join(home, "missing.yaml"), tmpdir()]) {
      const { code, talk } = await runCommand(calibrate, [...args, "--unit", path]);
      expect(talk).toContain(path);
      expect(talk).toContain("cannot be read");
      expect(code).toBe(EXIT.wrongUse);
    }
  });

  it("accepts the good ones, so the complaints are about what was broken", async () => {
    // A day on which the certificates of the good bench are in date.
    vi.useFakeTimers({ toFake: ["Date"], now: Date.UTC(2026, 10, 25) });
    const { code, out, talk } = await runCommand(calibrate, [...write({}), "--dry-run"]).finally(() => {
      vi.useRealTimers();
    });
    expect(talk).toBe("");
    expect(out).toMatch(/read, rising +50\.0 +12\.000 +9\.000/u);
    expect(code).toBe(EXIT.success);
    nothingWritten();
  });
});

describe("the program itself", () => {
  const chosen: readonly (readonly [Role, BrokenRow | undefined])[] = [
    ["bench", brokenBenches[0]],
    ["bench", brokenBenches.find(([id]) => id === "percent of nothing")],
    ["bench", brokenBenches.find(([id]) => id === "driver misspelt")],
    ["unit", brokenUnits.find(([id]) => id === "output upside down")],
    ["unit", brokenUnits.find(([id]) => id === "tolerance of nothing")],
    ["laboratory", brokenLaboratories[0]],
  ];
  beforeAll(() => builtOnce());

  it("ends with 2 and one complaint on standard error, within a second", async () => {
    const took_ms: number[] = [];
    const bare_ms: number[] = [];
    for (const [role, row] of chosen) {
      if (row === undefined) throw new Error("a row of the table is gone");
      const args = write({ [role]: changed(good[role], row[1], row[2]) });
      const before = performance.now();
      const { code, out, talk } = await run(["calibrate", ...args]);
      took_ms.push(performance.now() - before);
      const bare = performance.now();
      await run(["0"], { file: "-e" });
      bare_ms.push(performance.now() - bare);
      expect(code).toBe(EXIT.wrongUse);
      expectComplaint(talk, role, row);
      expect(out).toBe("");
      nothingWritten();
    }
    // On a machine that is busy with something else, a second is ten starts of Node itself.
    // The shortest of several is what the program takes; the rest is what else the machine had to do.
    expect(Math.min(...took_ms)).toBeLessThan(Math.max(WITHIN_MS, 10 * Math.min(...bare_ms)));
  });
});
