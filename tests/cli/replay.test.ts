import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { gzipSync } from "node:zlib";
import { describe, expect, it } from "vitest";
import { define } from "../../src/cli/commands/replay.ts";
import { EXIT } from "../../src/cli/exit-codes.ts";
import { makeUnit } from "../benchmarks/settling/generate-traces.ts";
import { traceLine } from "../benchmarks/settling/trace.ts";
import { runCommand } from "./in-process.ts";
import { writtenFiles } from "./written-file.ts";

const write = writtenFiles();
const unit = makeUnit({ seed: 3, index: 1 }).slice(0, 3).map(traceLine);
const all = write("unit.jsonl", `${unit.join("\n")}\n`);
const one = write("one.jsonl", unit[1] ?? "");
const run = (...args: readonly string[]) => runCommand(define, args);

describe("replay", () => {
  it("lists the waits of a file, packed or not", async () => {
    const packed = write("unit.jsonl.gz", "");
    writeFileSync(packed, gzipSync(readFileSync(all)));
    const [plain, unpacked] = [await run(all), await run(packed)];
    expect(plain.code).toBe(EXIT.success);
    expect(plain.out).toContain("exercise");
    expect(plain.out.split("\n").filter((l) => /^\d+ /u.test(l))).toHaveLength(3);
    expect(unpacked.out).toBe(plain.out);
    expect(plain.out).toContain("SIMULATED");
  });

  it("plots one of them, and the only one without being told which", async () => {
    expect((await run(all, "--point", "2")).out).toContain("state |");
    expect((await run(one)).out).toContain("state |");
  });

  it("draws it", async () => {
    const path = write("point.svg", "");
    const { code, talk } = await run(all, "--point", "2", "--svg", path);
    expect(code).toBe(EXIT.success);
    expect(talk).toContain(path);
    expect(readFileSync(path, "utf8")).toMatch(/^<svg .*<\/svg>\n$/su);
  });

  it("gives every moment as JSON", async () => {
    const { out, talk } = await run(all, "--point", "2", "--rule", "band", "--json");
    const { settling, simulated, waits } = JSON.parse(out) as {
      settling: { rule: string };
      simulated: boolean;
      waits: readonly { number: number; moments: readonly { t_s: number }[] }[];
    };
    expect(talk).toBe("");
    expect(settling.rule).toBe("band");
    expect(simulated).toBe(true);
    expect(waits.map((w) => w.number)).toEqual([2]);
    expect(waits[0]?.moments.length).toBeGreaterThan(100);
  });

  it.each([
    ["a file that is not there", ["gone.jsonl"], "cannot be read"],
    ["a number that is not there", [all, "--point", "9"], "the file holds 1 to 3"],
    ["a drawing of nothing in particular", [all, "--svg", "never.svg"], "none is named"],
    ["a folder to write into that is not there", [one, "--svg", "/no/such/folder/x.svg"], "cannot be written"],
  ])("refuses %s", async (_name, args, says) => {
    const { code, talk } = await run(...args);
    expect(code).toBe(EXIT.wrongUse);
    expect(talk).toContain(says);
    expect(existsSync("never.svg")).toBe(false);
  });
});
