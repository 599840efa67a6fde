import { createRequire } from "node:module";
import { fileURLToPath } from "node:url";
import { stripVTControlCharacters } from "node:util";
import { afterAll, describe, expect, it } from "vitest";
import { PACKAGE_ROOT } from "../../src/app/package-root.ts";

/** A person at the screw, in front of a real terminal (a pseudo-terminal) of 80 by 24: one key answers. */
interface Terminal {
  readonly pid: number;
  write(text: string): void;
  onData(listener: (text: string) => void): unknown;
  onExit(listener: (ended: { readonly exitCode: number }) => void): unknown;
  kill(signal?: string): void;
}

interface TerminalPackage {
  spawn(
    file: string,
    args: readonly string[],
    options: { cols: number; rows: number; cwd: string; env: Record<string, string | undefined> },
  ): Terminal;
}

const { spawn }: TerminalPackage = createRequire(import.meta.url)("@lydell/node-pty");
const PROGRAM = fileURLToPath(new URL("./hand-terminal-program.ts", import.meta.url));
const running = new Set<Terminal>();

afterAll(() => {
  for (const terminal of running) terminal.kill("SIGKILL");
});

const sit = (which: "span" | "zero") => {
  const terminal = spawn(process.execPath, ["--import", "tsx", PROGRAM, which], {
    cols: 80,
    rows: 24,
    cwd: PACKAGE_ROOT,
    env: { ...process.env, TERM: "xterm-256color", NO_COLOR: "1" },
  });
  running.add(terminal);
  let raw = "";
  const waiting = new Set<() => void>();
  const text = (): string => stripVTControlCharacters(raw).replaceAll("\r", "");
  terminal.onData((chunk) => {
    raw += chunk;
    for (const look of waiting) look();
  });
  const ended = new Promise<number>((resolve) => {
    terminal.onExit(({ exitCode }) => {
      running.delete(terminal);
      resolve(exitCode);
    });
  });
  const shows = (wanted: RegExp): Promise<void> =>
    new Promise((resolve) => {
      const look = (): void => {
        if (!wanted.test(text())) return;
        waiting.delete(look);
        resolve();
      };
      waiting.add(look);
      look();
    });
  return { terminal, text, ended, shows, draws: () => text().split("elapsed").length - 1 };
};

/** Keys count once the question has stood for a moment. */
const onceSeen = async (session: ReturnType<typeof sit>): Promise<void> => {
  await session.shows(/space or Enter = hand off[\s\S]*(?:elapsed[\s\S]*){4}/u);
};

describe("the hand at a real terminal", () => {
  it.each([
    ["Enter, as a foot switch sends it", "\r", "let-go"],
    ["n", "n", "no-effect"],
  ])(
    "answers with one key: %s",
    async (_title, key, answer) => {
      const session = sit("span");
      await onceSeen(session);
      session.terminal.write(key);
      await session.shows(new RegExp(`ANSWER ${answer}`, "u"));
      expect(await session.ended).toBe(0);
    },
    30_000,
  );

  it("shows the number large, within 80 columns, and the question once above it", async () => {
    const session = sit("zero");
    await onceSeen(session);
    // A key that was not offered changes nothing.
    session.terminal.write("q");
    session.terminal.write(" ");
    await session.shows(/ANSWER let-go/u);
    expect(await session.ended).toBe(0);
    const lines = session.text().split("\n");
    expect(Math.max(...lines.filter((l) => l.includes("█")).map((l) => l.length))).toBeLessThanOrEqual(80);
    expect(session.text().match(/Raise ZERO slowly/gu)).toHaveLength(1);
    // No line of the view is torn by a question that stands in its way.
    expect(lines.filter((l) => l.includes("SIMULATED")).every((l) => l.startsWith("SIMULATED"))).toBe(true);
    expect(session.text()).toMatch(/ZERO {3}(?:RAISE|FLOWS: BRING IT BACK)/u);
  }, 30_000);
});
