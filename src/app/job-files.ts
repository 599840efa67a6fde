import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { basename } from "node:path";
import type { BenchFile } from "../config/bench-file.schema.ts";
import { parseBenchFile } from "../config/bench-file.ts";
import { type FileFault, faultOfFiles } from "../config/file-fault.ts";
import type { KnownParts } from "../config/known-drivers.ts";
import type { LaboratoryFile } from "../config/laboratory-file.schema.ts";
import { parseLaboratoryFile } from "../config/laboratory-file.ts";
import type { UnitFile } from "../config/unit-file.schema.ts";
import { parseUnitFile } from "../config/unit-file.ts";
import type { RunEventOf } from "../readings/run-event.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";

/** Texts as they were used, with their digests: they go into the record whole. */
export type KeptFiles = RunEventOf<"run-started">["files"];

export interface JobFiles {
  readonly bench: BenchFile;
  readonly unit: UnitFile;
  readonly laboratory: LaboratoryFile;
  readonly kept: KeptFiles;
}

export const readText = (path: string): Result<string, Fault> => {
  try {
    return ok(readFileSync(path, "utf8"));
  } catch (error) {
    return err(
      fault(
        "refused",
        "bad-file",
        `${path} cannot be read: ${error instanceof Error ? error.message : String(error)}.`,
        {
          remedy: "Check the path.",
        },
      ),
    );
  }
};

export interface NamedText {
  readonly name: string;
  readonly text: string;
}

export interface JobTexts {
  readonly bench: NamedText;
  readonly unit: NamedText;
  readonly laboratory: NamedText;
}

/** Texts to checked files. All complaints of all files come together, in order. */
export const parseJobTexts = (texts: JobTexts, known: KnownParts): Result<JobFiles, Fault> => {
  const bench = parseBenchFile(texts.bench.text, texts.bench.name, known);
  const unit = parseUnitFile(texts.unit.text, texts.unit.name);
  const laboratory = parseLaboratoryFile(texts.laboratory.text, texts.laboratory.name);
  if (!bench.ok || !unit.ok || !laboratory.ok) {
    const faults: FileFault[] = [bench, unit, laboratory].flatMap((parsed) => (parsed.ok ? [] : parsed.fault));
    return err(faultOfFiles(faults));
  }
  const kept = (["bench", "unit", "laboratory"] as const).map((role) => ({
    role,
    // Where the file lay on this computer is nobody's business who reads the record.
    name: basename(texts[role].name),
    sha256: createHash("sha256").update(texts[role].text, "utf8").digest("hex"),
    text: texts[role].text,
  }));
  return ok({ bench: bench.value, unit: unit.value, laboratory: laboratory.value, kept });
};

/** Reads and checks the three files of a job. */
export const readJobFiles = (
  paths: { readonly bench: string; readonly unit: string; readonly laboratory: string },
  known: KnownParts,
): Result<JobFiles, Fault> => {
  const read = { bench: readText(paths.bench), unit: readText(paths.unit), laboratory: readText(paths.laboratory) };
  for (const text of Object.values(read)) if (!text.ok) return text;
  const named = (role: keyof typeof read): NamedText => ({
    name: paths[role],
    text: read[role].ok ? read[role].value : "",
  });
  return parseJobTexts({ bench: named("bench"), unit: named("unit"), laboratory: named("laboratory") }, known);
};
