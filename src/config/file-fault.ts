import { type Fault, fault } from "../vocabulary/fault.ts";

/** What can be wrong with a file that a person wrote. Stable, for scripts. */
export type FileFaultCode =
  | "yaml"
  | "unknown-key"
  | "missing-key"
  | "wrong-type"
  | "bad-value"
  | "bad-quantity"
  | "unknown-name"
  | "wrong-role"
  | "contradiction"
  | "out-of-date"
  | "out-of-range";

/** One mistake, where it stands, what it means and what to write instead. Lines and columns count from 1. */
export interface FileFault {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  /** Keys joined by points, such as `instruments.gauge-1.link`; empty for the whole file. */
  readonly path: string;
  readonly code: FileFaultCode;
  readonly message: string;
  readonly remedy: string;
}

/** Where a key and its value stand in the text. */
export interface FilePlace {
  readonly line: number;
  readonly column: number;
  readonly keyLine: number;
  readonly keyColumn: number;
}

/** Name of a file and the place of each path in it. */
export interface FileSource {
  readonly file: string;
  readonly places: Readonly<Record<string, FilePlace>>;
}

export type FilePath = readonly (string | number)[];

export const pathText = (path: FilePath): string => path.join(".");

export interface FaultWords {
  readonly code: FileFaultCode;
  readonly message: string;
  readonly remedy: string;
  /** Point at the key instead of the value. */
  readonly at?: "key";
}

/** A fault at a path of a file; a path that was not written (a default) is shown at the nearest part that was. */
export const faultAt = (source: FileSource, path: FilePath, words: FaultWords): FileFault => {
  let place: FilePlace | undefined;
  let written = path.length;
  for (; written >= 0 && place === undefined; written -= 1) place = source.places[pathText(path.slice(0, written))];
  const asKey = words.at === "key" || written + 1 < path.length;
  return {
    file: source.file,
    line: (asKey ? place?.keyLine : place?.line) ?? 1,
    column: (asKey ? place?.keyColumn : place?.column) ?? 1,
    path: pathText(path),
    code: words.code,
    message: words.message,
    remedy: words.remedy,
  };
};

export const inOrder = (faults: readonly FileFault[]): readonly FileFault[] =>
  faults.toSorted((a, b) => a.file.localeCompare(b.file, "en") || a.line - b.line || a.column - b.column);

/** `bench-configs/x.yaml:12:5  what is wrong. What to do.` */
export const fileFaultText = (f: FileFault): string => `${f.file}:${f.line}:${f.column}  ${f.message} ${f.remedy}`;

/** All mistakes of one or more files as the one fault that ends a command before anything was opened. */
export const faultOfFiles = (faults: readonly FileFault[]): Fault =>
  fault("refused", "bad-file", faults.map(fileFaultText).join("\n"), {
    means: "\nNothing was opened and nothing was driven.",
  });
