import { parseProfile } from "../../drivers/profiles/read-profile.ts";
import { parseBenchFile } from "../config/bench-file.ts";
import { type FileFault, fileFaultText } from "../config/file-fault.ts";
import { parseLaboratoryFile } from "../config/laboratory-file.ts";
import { parseUnitFile } from "../config/unit-file.ts";
import { parseBudgetModel } from "../uncertainty/budget/budget-model.ts";
import { faultText } from "../vocabulary/fault.ts";
import type { Result } from "../vocabulary/result.ts";
import { readText } from "./job-files.ts";
import { knownParts } from "./known-parts.ts";

export interface CheckedFile {
  readonly file: string;
  readonly kind: string;
  /** `file:line:column  what is wrong, and what to write`; none = the file is good. */
  readonly complaints: readonly string[];
}

/** The kinds of file, by the first word of their `format` line. */
const KINDS: Readonly<Record<string, (text: string, name: string) => Result<unknown, readonly FileFault[]>>> = {
  bench: (text, name) => parseBenchFile(text, name, knownParts()),
  unit: parseUnitFile,
  laboratory: parseLaboratoryFile,
  budget: parseBudgetModel,
};

const checkText = (file: string, text: string): CheckedFile => {
  const format = /^\s*format:\s*["']?stillpoint-([a-z-]+)/mu.exec(text)?.[1];
  if (format?.endsWith("-profile")) {
    const profile = parseProfile(text, file);
    return { file, kind: format.replace("-", " "), complaints: profile.ok ? [] : [faultText(profile.fault)] };
  }
  const parse = KINDS[format ?? ""];
  if (format === undefined || parse === undefined) {
    const known = [...Object.keys(KINDS), "register-profile", "line-profile"].map((kind) => `stillpoint-${kind} 1`);
    return {
      file,
      kind: "unknown",
      complaints: [
        `${file}:1:1  The file does not say what it is. Begin it with format: and one of ${known.join(", ")}.`,
      ],
    };
  }
  const parsed = parse(text, file);
  return { file, kind: format, complaints: parsed.ok ? [] : parsed.fault.map(fileFaultText) };
};

/** Reads and checks files one by one. */
export const checkFiles = (files: readonly string[]): readonly CheckedFile[] =>
  files.map((file) => {
    const text = readText(file);
    return text.ok
      ? checkText(file, text.value)
      : { file, kind: "unknown", complaints: [`${file}:1:1  ${faultText(text.fault)}`] };
  });
