import { readFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, it } from "vitest";
import { PACKAGE_ROOT } from "../../src/app/package-root.ts";
import { COMMANDS } from "../../src/cli/commands/index.ts";
import { EXIT, EXIT_CODE_TEXT } from "../../src/cli/exit-codes.ts";
import { builtOnce } from "../end-to-end/build-once.ts";
import { benchFile, type Ended, run, temporaryFolder } from "../end-to-end/program.ts";

/** The manners of a command line program, looked at from outside. */
beforeAll(() => builtOnce());

const practice = ["--bench", benchFile("simulated-serial"), "--unit", benchFile("ip-3-15-psi")];
const virtual = ["calibrate", ...practice, "--clock", "virtual"];

describe("help", () => {
  it("of the program names every command, every exit code, and gives examples", async () => {
    const { code, out, talk } = await run(["--help"]);
    expect(code).toBe(EXIT.success);
    expect(talk).toBe("");
    for (const { name } of COMMANDS) expect(out).toMatch(new RegExp(`^ {2}${name} `, "mu"));
    for (const [number] of EXIT_CODE_TEXT) expect(out).toMatch(new RegExp(`^ +${number} {2}\\S`, "mu"));
    expect(out).toMatch(/^ {2}stillpoint demo$/mu);
  });

  it.each(COMMANDS.map(({ name, summary }) => [name, summary]))("of %s, both ways", async (name, summary) => {
    const [flag, word] = await Promise.all([run([name, "--help"]), run(["help", name])]);
    expect(flag.code).toBe(EXIT.success);
    expect(flag.talk).toBe("");
    expect(flag.out).toMatch(new RegExp(`^Usage: stillpoint ${name} `, "u"));
    expect(flag.out.replaceAll(/\s+/gu, " ")).toContain(summary);
    expect(word.out).toBe(flag.out);
    // Every option says what it is for.
    const options = flag.out.split(/^Options:$/mu)[1]?.split(/\n\n/u)[0] ?? "";
    for (const line of options.split("\n").filter((text) => /^ {2}-/u.test(text))) {
      expect(line).toMatch(/^ {2}-\S.*? {2,}\S/u);
    }
  });

  it("comes with code 2 when nothing was asked", async () => {
    const { code, out } = await run([]);
    expect(code).toBe(EXIT.wrongUse);
    expect(out).toMatch(/^Usage: stillpoint/u);
  });
});

it("tells the version of package.json", async () => {
  const { version } = JSON.parse(readFileSync(join(PACKAGE_ROOT, "package.json"), "utf8")) as { version: string };
  expect(await run(["--version"])).toMatchObject({ code: EXIT.success, out: `${version}\n`, talk: "" });
});

describe("wrong use ends with 2, says what was wrong on standard error, and says nothing else", () => {
  it.each<readonly [title: string, args: readonly string[], says: RegExp]>([
    ["a command misspelt", ["calibrat"], /unknown command 'calibrat'\n\(Did you mean calibrate\?\)/u],
    ["an option misspelt", ["calibrate", "--benhc", "x"], /unknown option '--benhc'\n\(Did you mean --bench\?\)/u],
    ["an option of the program misspelt", ["--versoin"], /unknown option '--versoin'\n\(Did you mean --version\?\)/u],
    ["an option missing", ["calibrate"], /required option '--bench <file>' not specified/u],
    ["another option missing", ["plan", "--bench", benchFile("simulated-serial")], /'--unit <file>' not specified/u],
    ["a value missing", ["demo", "--factor"], /option '--factor <n>' argument missing/u],
    ["a value out of range", ["demo", "--factor", "0"], /'0' is invalid\. It has to be a number above 0/u],
    ["a value that is no choice", [...virtual, "--clock", "unreal"], /Allowed choices are real, virtual/u],
    ["points that are none", [...virtual, "--points", "0,a,100"], /percentages such as 0,25,50,75,100/u],
    ["a word too many", ["demo", "now"], /too many arguments/u],
    [
      "an override without a reason",
      [...virtual, "--override", "vented-zero"],
      /is not an override; write --override/u,
    ],
    ["a sequence that does not exist", [...virtual, "--yes", "--sequence", "up-dwn"], /up-dwn/u],
    ["a decision rule that does not exist", [...virtual, "--yes", "--rule", "lucky"], /lucky/u],
    [
      "a simulated bench that is not there",
      [...virtual, "--yes", "--operator", "A", "--clock", "real", "--simulator", "/no/such/file"],
      /\/no\/such\/file/u,
    ],
  ])("%s", async (_title, args, says) => {
    const output = args[0] === "calibrate" ? ["--output", temporaryFolder()] : [];
    const { code, out, talk } = await run([...args, ...(args.length > 2 ? output : [])]);
    expect(talk).toMatch(says);
    expect(talk).not.toMatch(/ {4}at /u);
    expect(out).toBe("");
    expect(code).toBe(EXIT.wrongUse);
  });
});

describe("where nobody can be asked", () => {
  it.each([
    ["a missing operator", [], /Say it with --operator NAME/u],
    ["cautions that were not accepted", ["--operator", "A. Technician"], /say --yes to accept the cautions/u],
  ] as const)("names the option for %s and does not wait", async (_title, more, says) => {
    const { code, out, talk } = await run([...virtual, ...more, "--output", temporaryFolder()]);
    expect(talk).toMatch(says);
    expect(out).toBe("");
    expect(code).toBe(EXIT.wrongUse);
  });
});

describe("streams", () => {
  const job = (env: Readonly<Record<string, string>> = {}, more: readonly string[] = []): Promise<Ended> =>
    run(
      [
        ...virtual,
        "--points",
        "0,50,100",
        "--yes",
        "--operator",
        "A. Technician",
        "--output",
        temporaryFolder(),
        ...more,
      ],
      {
        env,
      },
    );

  it("hold no escape codes in a pipe, even when the environment asks for colour", async () => {
    const { code, out, talk } = await job({ FORCE_COLOR: "1", TERM: "xterm-256color" });
    expect(`${out}${talk}`).not.toContain("\u001B");
    expect(talk).toMatch(/^SIMULATED\. /u);
    expect(out).toMatch(/^Record: .+\nCertificate: SIMULATED, a specimen only: .+\n$/u);
    expect(code).toBe(EXIT.success);
  });

  it("give one JSON document with --json; a unit that fails is a good run of a bad unit and ends with 3", async () => {
    const { code, out } = await job({}, ["--json", "--adjust", "never"]);
    expect(JSON.parse(out)).toMatchObject({ simulated: true, ending: "finished", verdict: "fail" });
    expect(out.trimEnd()).not.toContain("\n");
    expect(code).toBe(EXIT.outOfTolerance);
  });
});

it("starts nearly as fast as Node itself: at most 2.5 times its time, median of seven in turn", async () => {
  const times = { bare: [] as number[], help: [] as number[] };
  for (let i = 0; i < 7; i += 1) {
    for (const [name, start] of [
      ["bare", () => run(["0"], { file: "-e" })],
      ["help", () => run(["--help"])],
    ] as const) {
      const before = performance.now();
      await start();
      times[name].push(performance.now() - before);
    }
  }
  const median = (values: readonly number[]): number => values.toSorted((a, b) => a - b)[3] ?? Number.NaN;
  expect(median(times.help) / median(times.bare)).toBeLessThanOrEqual(2.5);
});
