import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { inflateSync } from "node:zlib";
import type { BenchFile } from "../config/bench-file.schema.ts";
import { parseBenchFile } from "../config/bench-file.ts";
import { type FileFault, faultOfFiles } from "../config/file-fault.ts";
import type { KnownParts } from "../config/known-drivers.ts";
import type { LaboratoryFile } from "../config/laboratory-file.schema.ts";
import { parseLaboratoryFile } from "../config/laboratory-file.ts";
import { type Picture, readPicture } from "../config/picture.ts";
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
  /** Bytes of the letterhead's picture; absent where the laboratory file names none. */
  readonly logo?: Uint8Array;
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
  /** The picture of the letterhead, its bytes in Base64. */
  readonly logo?: NamedText | undefined;
}

const badLogo = (name: string, why: string): Result<never, Fault> =>
  err(
    fault("refused", "bad-file", `The logo ${name} cannot be printed: ${why}.`, {
      means: "Nothing was begun and nothing was written.",
      remedy: "Give the laboratory file a PNG or JPEG picture, or leave `logo` out.",
    }),
  );

/** A picture whose rows are damaged would only be found out when the certificate is drawn. */
const unpackTrouble = ({ packed }: Picture): string | null => {
  if (packed === undefined) return null;
  try {
    inflateSync(packed);
    return null;
  } catch {
    return "its contents are damaged";
  }
};

/** Texts to checked files. All complaints of all files come together, in order. */
export const parseJobTexts = (texts: JobTexts, known: KnownParts): Result<JobFiles, Fault> => {
  const bench = parseBenchFile(texts.bench.text, texts.bench.name, known);
  const unit = parseUnitFile(texts.unit.text, texts.unit.name);
  const laboratory = parseLaboratoryFile(texts.laboratory.text, texts.laboratory.name);
  if (!bench.ok || !unit.ok || !laboratory.ok) {
    const faults: FileFault[] = [bench, unit, laboratory].flatMap((parsed) => (parsed.ok ? [] : parsed.fault));
    return err(faultOfFiles(faults));
  }
  const logo = texts.logo === undefined ? undefined : new Uint8Array(Buffer.from(texts.logo.text, "base64"));
  if (logo !== undefined) {
    const picture = readPicture(logo);
    const why = picture.ok ? unpackTrouble(picture.value) : picture.fault;
    if (why !== null) return badLogo(texts.logo?.name ?? "", why);
  }
  const kept = (["bench", "unit", "laboratory", "logo"] as const).flatMap((role) => {
    const file = texts[role];
    if (file === undefined) return [];
    return {
      role,
      // Where the file lay on this computer is nobody's business who reads the record.
      name: basename(file.name),
      sha256: createHash("sha256").update(file.text, "utf8").digest("hex"),
      text: file.text,
    };
  });
  return ok({
    bench: bench.value,
    unit: unit.value,
    laboratory: laboratory.value,
    ...(logo === undefined ? {} : { logo }),
    kept,
  });
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
  const texts = { bench: named("bench"), unit: named("unit"), laboratory: named("laboratory") };
  const parsed = parseJobTexts(texts, known);
  if (!parsed.ok || parsed.value.laboratory.logo === undefined) return parsed;
  const path = join(dirname(paths.laboratory), parsed.value.laboratory.logo);
  let bytes: Buffer;
  try {
    bytes = readFileSync(path);
  } catch (error) {
    return badLogo(path, `it cannot be read (${error instanceof Error ? error.message : String(error)})`);
  }
  return parseJobTexts({ ...texts, logo: { name: path, text: bytes.toString("base64") } }, known);
};
