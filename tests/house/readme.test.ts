import { existsSync, readdirSync, readFileSync } from "node:fs";
import { basename, join } from "node:path";
import { PassThrough } from "node:stream";
import { Command } from "commander";
import { describe, expect, it } from "vitest";
import { PACKAGE_ROOT } from "../../src/app/package-root.ts";
import { COMMANDS, type CommandModule } from "../../src/cli/commands/index.ts";
import { EXIT } from "../../src/cli/exit-codes.ts";
import { runCommand } from "../cli/in-process.ts";

/** What the README says can be typed can be typed, and what it points at is there. The same for the developers' page. */
const read = (name: string): string => readFileSync(join(PACKAGE_ROOT, name), "utf8");
const readme = read("README.md");

const packageFile = JSON.parse(read("package.json")) as {
  readonly scripts: Readonly<Record<string, string>>;
  readonly engines: { readonly node: string };
};

const blocks = (language: string): readonly string[] =>
  [...readme.matchAll(new RegExp(`^ *\`\`\`${language}\\n([\\s\\S]*?)^ *\`\`\`$`, "gmu"))].map(([, body]) =>
    (body ?? "").trim(),
  );

/** A line as a shell splits it: words, and texts in double quotes. */
const shellWords = (line: string): readonly string[] =>
  [...line.matchAll(/"([^"]*)"|(\S+)/gu)].map(([, quoted, bare]) => quoted ?? bare ?? "");

/** Every mention of the program, in a block or in the text, from its name on. */
const mentions = (text: string): readonly (readonly string[])[] =>
  [...text.matchAll(/(?:^ *|`)(?:npx )?stillpoint ([^`\n]+)/gmu)].map(([, rest]) => shellWords(rest ?? ""));

const moduleOf = async (name: string): Promise<CommandModule | null> =>
  (await COMMANDS.find((entry) => entry.name === name)?.load()) ?? null;

const optionsOf = async (name: string): Promise<readonly string[]> => {
  const module = await moduleOf(name);
  if (module === null) return [];
  const command = new Command(name);
  const nowhere = new PassThrough();
  module.define(
    command,
    {
      out: nowhere,
      talk: nowhere,
      input: nowhere,
      live: false,
      colour: false,
      canAsk: false,
      columns: () => 80,
    },
    () => {},
  );
  return ["--help", ...command.options.map((option) => option.long ?? "")];
};

const ofProgram = ["--help", "--version", "--no-color"];

describe("the commands of the README", () => {
  it("begin with two blocks for a shell: one shows the whole job, the other runs all the tests", () => {
    const [first, second, ...more] = blocks("sh");
    expect(first).toMatch(/npm run demo$/u);
    expect(second).toMatch(/npm test$/u);
    expect(more).toEqual([]);
    for (const block of [first, second]) expect(block?.split("\n")).toHaveLength(1);
  });

  it("name scripts that package.json has, and the versions of Node that it asks for", () => {
    for (const [, script] of readme.matchAll(/npm run ([\w:-]+)/gu)) {
      expect(Object.keys(packageFile.scripts)).toContain(script);
    }
    for (const [version] of packageFile.engines.node.matchAll(/(?<=>=)[\d.]+/gu)) expect(readme).toContain(version);
  });

  it("name commands and options that the program has", async () => {
    const found = mentions(readme);
    expect(found.length).toBeGreaterThan(5);
    for (const words of found) {
      const [name = ""] = words;
      const options = words.filter((word) => word.startsWith("--"));
      if (name.startsWith("-")) {
        expect(ofProgram).toEqual(expect.arrayContaining([...options]));
        continue;
      }
      expect(COMMANDS.map((entry) => entry.name)).toContain(name);
      expect(await optionsOf(name), words.join(" ")).toEqual(expect.arrayContaining([...options]));
    }
    // Options that are named on their own belong to some command.
    const all = new Set([...ofProgram, ...(await Promise.all(COMMANDS.map(({ name }) => optionsOf(name)))).flat()]);
    for (const [, option = ""] of readme.matchAll(/`(--[a-z][a-z0-9-]*)/gu)) expect([...all]).toContain(option);
  });

  it("run: those that drive nothing, with the example files in place of the reader's own", async () => {
    const example: Readonly<Record<string, string>> = {
      "my-bench.yaml": "bench-configs/simulated-serial.yaml",
      "my-unit.yaml": "bench-configs/ip-3-15-psi.yaml",
      "my-laboratory.yaml": "bench-configs/laboratory.yaml",
    };
    const harmless: Readonly<Record<string, readonly string[]>> = {
      check: [],
      plan: [],
      convert: [],
      calibrate: ["--dry-run"],
    };
    let ran = 0;
    for (const [name = "", ...words] of mentions(readme)) {
      const more = harmless[name];
      if (more === undefined || words.length === 0 || words.includes("...") || words.includes("virtual")) continue;
      const module = await moduleOf(name);
      if (module === null) throw new Error(`no command ${name}`);
      const args = words.map((word) => (example[word] === undefined ? word : join(PACKAGE_ROOT, example[word])));
      const { code, talk } = await runCommand(module.define, [...args, ...more]);
      expect(talk).not.toMatch(/error|cannot/u);
      expect(code, `${name} ${words.join(" ")}`).toBe(EXIT.success);
      ran += 1;
    }
    expect(ran).toBeGreaterThanOrEqual(4);
  });
});

const FOLDERS = ["src", "drivers", "tests", "bench-configs"];
const names = new Set(
  FOLDERS.flatMap((folder) =>
    readdirSync(join(PACKAGE_ROOT, folder), { recursive: true }).map((path) => basename(String(path))),
  ),
);

/** A path from the top, or a file name that stands in some folder of the house. */
const isThere = (path: string): boolean =>
  existsSync(join(PACKAGE_ROOT, path)) || (!path.includes("/") && names.has(path));

describe.each(["README.md", "DEVELOPERS.md"])("the paths of %s", (page) => {
  it("are there", () => {
    const text = read(page);
    const missing = [...text.matchAll(/`([\w@.-]+(?:\/[\w.*@-]*)*)`/gu)]
      .map(([, path = ""]) => path)
      .filter((path) => /\/|\.(?:md|json|ya?ml|ts)$/u.test(path) && !/^my-|\*/u.test(path))
      // What a run makes is not there before.
      .filter((path) => path !== "reports/")
      .filter((path) => !isThere(path));
    expect(missing).toEqual([]);
  });
});
