import type { Command } from "commander";
import { readText } from "../app/job-files.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { ok, type Result } from "../vocabulary/result.ts";

/** Options of the commands that make a certificate: what is shown beside its results. */
export const addFurther = (command: Command): Command =>
  command
    .option(
      "--with <record>",
      "record of a test of this unit, shown for information (may be repeated)",
      (path, all: string[] = []) => [...all, path],
    )
    .option("--opinion", "with opinions on what the tests and the calibration point to");

/** The texts of these files, in order. */
export const readTexts = (paths: readonly string[]): Result<readonly string[], Fault> => {
  const texts: string[] = [];
  for (const path of paths) {
    const text = readText(path);
    if (!text.ok) return text;
    texts.push(text.value);
  }
  return ok(texts);
};
