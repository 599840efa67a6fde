import { readdirSync, readFileSync } from "node:fs";
import type { FileFault } from "../../src/config/file-fault.ts";
import { fileFaultText } from "../../src/config/file-fault.ts";
import type { Result } from "../../src/vocabulary/result.ts";

const folder = new URL("../../bench-configs/", import.meta.url);

export const exampleNames: readonly string[] = readdirSync(folder).filter((name) => name.endsWith(".yaml"));

export const exampleText = (name: string): string => readFileSync(new URL(name, folder), "utf8");

/** The value, or a failure that shows every message as a person would see it. */
export const accepted = <T>(result: Result<T, readonly FileFault[]>): T => {
  if (!result.ok) throw new Error(result.fault.map(fileFaultText).join("\n"));
  return result.value;
};
