import { execFileSync, spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";

const isThere = (program: string): boolean => spawnSync(program, ["--version"]).error === undefined;

/**
 * Tests that need a program of the system to look at a file. Without it they are skipped by name on a workbench, and
 * fail where everything has to be there (CI).
 */
export const describeWith = (programs: readonly string[], name: string, body: () => void): void => {
  const missing = programs.filter((p) => !isThere(p));
  if (missing.length === 0) {
    describe(name, body);
    return;
  }
  const title = `${name}: needs ${missing.join(", ")}`;
  if (process.env["CI"] === "true") it(title, () => expect(missing).toEqual([]));
  else it.skip(title, () => {});
};

/** The file that a program makes out of these bytes; `{}` in the arguments stands for the one, `{out}` for the other. */
export const made = (program: string, args: readonly string[], bytes: Uint8Array): Uint8Array => {
  const folder = mkdtempSync(join(tmpdir(), "certificate-"));
  try {
    const file = join(folder, "certificate.pdf");
    const out = join(folder, "out");
    writeFileSync(file, bytes);
    execFileSync(
      program,
      args.map((a) => (a === "{}" ? file : a === "{out}" ? out : a)),
      { stdio: "pipe" },
    );
    return readFileSync(out);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
};

/** What a program writes when it is given these bytes as a file. `{}` in the arguments stands for the file. */
export const run = (program: string, args: readonly string[], bytes: Uint8Array): string => {
  const folder = mkdtempSync(join(tmpdir(), "certificate-"));
  try {
    const file = join(folder, "certificate.pdf");
    writeFileSync(file, bytes);
    return execFileSync(
      program,
      args.map((a) => (a === "{}" ? file : a)),
      { encoding: "utf8", maxBuffer: 64e6 },
    );
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
};
