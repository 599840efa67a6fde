import { existsSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

/** The folder that holds package.json: the sources and the built files lie at different depths below it. */
const find = (): string => {
  let folder = dirname(fileURLToPath(import.meta.url));
  while (!existsSync(join(folder, "package.json"))) {
    const parent = dirname(folder);
    if (parent === folder) throw new Error("package.json not found above the program");
    folder = parent;
  }
  return folder;
};

export const PACKAGE_ROOT = find();

/** Path of a file that comes with the product. */
export const shipped = (...parts: readonly string[]): string => join(PACKAGE_ROOT, ...parts);

export const softwareVersion = (): string => {
  const parsed: unknown = JSON.parse(readFileSync(shipped("package.json"), "utf8"));
  const version = typeof parsed === "object" && parsed !== null && "version" in parsed ? parsed.version : undefined;
  return typeof version === "string" ? version : "unknown";
};
