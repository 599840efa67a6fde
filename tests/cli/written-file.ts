import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll } from "vitest";

/** Writes files for a command to read; they are gone after the tests of the file. */
export const writtenFiles = (): ((name: string, text: string) => string) => {
  const folder = mkdtempSync(join(tmpdir(), "stillpoint-"));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  return (name, text) => {
    const path = join(folder, name);
    writeFileSync(path, text);
    return path;
  };
};
