import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { stripVTControlCharacters } from "node:util";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { PACKAGE_ROOT } from "../../src/app/package-root.ts";
import { EXIT } from "../../src/cli/exit-codes.ts";
import { builtOnce, CLI } from "../end-to-end/build-once.ts";
import { benchFile } from "../end-to-end/program.ts";

/** The program in front of a person: a real terminal (a pseudo-terminal), keys in, moving lines out. */
interface Terminal {
  write(text: string): void;
  onData(listener: (text: string) => void): unknown;
  onExit(listener: (ended: { readonly exitCode: number; readonly signal?: number }) => void): unknown;
  kill(signal?: string): void;
}

interface TerminalPackage {
  spawn(
    file: string,
    args: readonly string[],
    options: {
      readonly cols: number;
      readonly rows: number;
      readonly cwd: string;
      readonly env: Record<string, string | undefined>;
    },
  ): Terminal;
}

const { spawn }: TerminalPackage = createRequire(import.meta.url)("@lydell/node-pty");
const COLUMNS = 100;
const running = new Set<Terminal>();
const output = mkdtempSync(join(tmpdir(), "stillpoint-terminal-"));

beforeAll(() => builtOnce());
afterAll(() => {
  for (const terminal of running) terminal.kill("SIGKILL");
  rmSync(output, { recursive: true, force: true });
});

interface Session {
  type(keys: string): void;
  /** What stands on the screen and above it, without its control codes. */
  text(): string;
  raw(): string;
  shows(text: RegExp): Promise<void>;
  readonly ended: Promise<number>;
}

const sit = (args: readonly string[], more: Record<string, string> = {}): Session => {
  const { NO_COLOR: _no, FORCE_COLOR: _force, CI: _ci, ...environment } = process.env;
  const terminal = spawn(process.execPath, [CLI, ...args], {
    cols: COLUMNS,
    rows: 40,
    cwd: PACKAGE_ROOT,
    env: { ...environment, TERM: "xterm-256color", ...more },
  });
  running.add(terminal);
  let raw = "";
  let isOver = false;
  const waiting = new Set<() => void>();
  const text = (): string => stripVTControlCharacters(raw).replaceAll("\r", "");
  terminal.onData((chunk) => {
    raw += chunk;
    for (const look of waiting) look();
  });
  const ended = new Promise<number>((resolve) => {
    terminal.onExit(({ exitCode }) => {
      isOver = true;
      running.delete(terminal);
      for (const look of waiting) look();
      resolve(exitCode);
    });
  });
  return {
    type: (keys) => terminal.write(keys),
    text,
    raw: () => raw,
    ended,
    shows: (wanted) =>
      new Promise((resolve, reject) => {
        const look = (): void => {
          const seen = wanted.test(text());
          if (!seen && !isOver) return;
          waiting.delete(look);
          if (seen) resolve();
          else reject(new Error(`ended without ${wanted}:\n${text()}`));
        };
        waiting.add(look);
        look();
      }),
  };
};

const calibrate = (more: readonly string[] = []): readonly string[] => [
  "calibrate",
  ...["--bench", benchFile("simulated-serial"), "--unit", benchFile("ip-3-15-psi"), "--points", "0,50,100"],
  ...["--clock", "virtual", "--output", output, ...more],
];

describe("calibrate at a terminal", () => {
  it("asks who measures and for a yes, and then shows the run", async () => {
    const session = sit(calibrate(), { NO_COLOR: "1" });
    await session.shows(/Who is measuring\? $/u);
    session.type("A. Technician\r");
    await session.shows(/Type yes: $/u);
    expect(session.text()).toMatch(/SIMULATED\. Hopwell Instruments HC-15/u);
    expect(session.text()).toMatch(/Compressed air injures: wear eye protection/u);
    expect(readdirSync(output)).toEqual([]);
    session.type("yes\r");
    expect(await session.ended).toBe(EXIT.success);
    const text = session.text();
    for (const shown of [
      /^SIMULATED {2}Hopwell Instruments HC-15 HC15-20431 .* elapsed \d+:\d\d/mu,
      /^ {2}as found {3}point 2 of 5 {3}rising {3}50 % of span/mu,
      /^ {2}target {3}50 % of span = 9\.000 psi/mu,
      /^ {2}input {4}12\.000 mA, measured 1[12]\.\d{4} mA {3}supply \d+\.\d+ psi/mu,
      /^ {2}reading {2}\d+\.\d{3} psi {3}off target [+-]\d+\.\d\d % of span/mu,
      /^ {2}slope {4}[+-]\d+\.\d{3} % of span a minute/mu,
      /^ {2}\[#+-+\] \d+ % {3}about \d+:\d\d left/mu,
      /point 5\/5 falling 0 %: 3\.\d{3} psi/u,
      /source left safe at 4\.000 mA/u,
    ]) {
      expect(text).toMatch(shown);
    }
    // No colour was wanted: lines move, and nothing sets a colour.
    const codes = session.raw().split("\u001B[").slice(1);
    expect(codes.length).toBeGreaterThan(10);
    expect(codes.filter((code) => /^(?:\d+;)*(?:3[0-7]|4[0-7]|9[0-7])m/u.test(code))).toEqual([]);
    expect(readdirSync(output).filter((name) => name.endsWith(".record.jsonl"))).toHaveLength(1);
  }, 60_000);

  it.each([
    ["anything but a yes", "perhaps\r", EXIT.wrongUse],
    ["Ctrl-D", "\u0004", EXIT.wrongUse],
    ["Ctrl-C", "\u0003", EXIT.interrupted],
  ])(
    "drives nothing after %s",
    async (_title, keys, code) => {
      const before = readdirSync(output);
      const session = sit(calibrate(["--operator", "A. Technician"]));
      await session.shows(/Type yes: $/u);
      session.type(keys);
      expect(await session.ended).toBe(code);
      expect(session.text()).not.toMatch(/preflight/u);
      expect(readdirSync(output)).toEqual(before);
    },
    30_000,
  );

  it("does not ask when told not to", async () => {
    const session = sit(calibrate(["--no-input"]));
    expect(await session.ended).toBe(EXIT.wrongUse);
    expect(session.text()).toMatch(/Say it with --operator NAME/u);
  }, 30_000);
});

it("Ctrl-C typed during the demo stops it, makes the source safe, and the bench is still there to say so", async () => {
  const session = sit(["demo", "--output", output]);
  await session.shows(/exercise begins/u);
  session.type("\u0003");
  expect(await session.ended).toBe(EXIT.interrupted);
  expect(session.text()).toMatch(/Stopping: the source is being made safe\./u);
  expect(session.text()).toMatch(/source left safe at 4\.000 mA/u);
}, 60_000);
