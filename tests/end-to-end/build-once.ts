import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, readdirSync, rmSync, statSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { PACKAGE_ROOT } from "../../src/app/package-root.ts";

/**
 * The built program, as `npm run build` makes it: rebuilt when a source is newer than the last build, by one test file at
 * a time while the others wait.
 */
export const CLI = join(PACKAGE_ROOT, "dist/src/cli/main.js");
const STAMP = join(PACKAGE_ROOT, "dist/.tests-built-it");
const LOCK = join(PACKAGE_ROOT, "dist/.tests-are-building");
const LOCK_IS_OLD_MS = 120_000;

const changedAt = (path: string): number => statSync(path, { throwIfNoEntry: false })?.mtimeMs ?? 0;

const newest = (folder: string): number =>
  readdirSync(folder, { withFileTypes: true, recursive: true })
    .filter((entry) => entry.isFile() && /\.(ts|ya?ml)$/u.test(entry.name))
    .reduce((latest, entry) => Math.max(latest, changedAt(join(entry.parentPath, entry.name))), 0);

const isFresh = (): boolean => {
  const sources = Math.max(
    newest(join(PACKAGE_ROOT, "src")),
    newest(join(PACKAGE_ROOT, "drivers")),
    changedAt(join(PACKAGE_ROOT, "tsconfig.build.json")),
  );
  return existsSync(CLI) && changedAt(STAMP) >= sources;
};

const build = (): void => {
  const started = new Date();
  const compiler = join(dirname(createRequire(import.meta.url).resolve("typescript/package.json")), "bin/tsc");
  const made = spawnSync(process.execPath, [compiler, "-p", "tsconfig.build.json"], { cwd: PACKAGE_ROOT });
  if (made.status !== 0) throw new Error(`the program could not be built:\n${made.stdout}${made.stderr}`);
  writeFileSync(STAMP, `${started.toISOString()}\n`);
};

export const builtOnce = async (): Promise<void> => {
  mkdirSync(dirname(LOCK), { recursive: true });
  while (!isFresh()) {
    try {
      mkdirSync(LOCK);
    } catch {
      if (Date.now() - changedAt(LOCK) > LOCK_IS_OLD_MS) rmSync(LOCK, { recursive: true, force: true });
      await pause(200);
      continue;
    }
    try {
      if (!isFresh()) build();
    } finally {
      rmSync(LOCK, { recursive: true, force: true });
    }
  }
};
