import { readFileSync } from "node:fs";
import { expect, it } from "vitest";
import { shipped } from "../../src/app/package-root.ts";
import { COMMANDS } from "../../src/cli/commands/index.ts";
import { EXIT } from "../../src/cli/exit-codes.ts";
import { runCommand } from "./in-process.ts";

/** The commands of the README's section on the computing, as they are written there. */
const section =
  readFileSync(shipped("README.md"), "utf8").split("## The computing without the bench")[1]?.split("\n## ")[0] ?? "";
const lines = (/```text\n([\s\S]*?)```/u.exec(section)?.[1] ?? "").trim().split("\n");

const wordsOf = (line: string): readonly string[] =>
  [...line.matchAll(/"([^"]*)"|(\S+)/gu)].map(([, quoted, plain]) => quoted ?? plain ?? "");

it("names five commands", () => expect(lines).toHaveLength(5));

it.each(lines)("%s", async (line) => {
  const [npx, program, name, ...args] = wordsOf(line);
  expect([npx, program]).toEqual(["npx", "stillpoint"]);
  const entry = COMMANDS.find((c) => c.name === name);
  if (entry === undefined) throw new Error(`no command ${name}`);
  const { define } = await entry.load();
  const here = args.map((word) => (word.startsWith("bench-configs/computing/") ? shipped(word) : word));
  const { code, out, talk } = await runCommand(define, here);
  expect(talk).toBe("");
  // One of the example values lies inside the guard band, which is a conditional pass.
  expect(code).toBe(EXIT.success);
  expect(out.length).toBeGreaterThan(200);
});
