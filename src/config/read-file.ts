import type { z } from "zod";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { type FaultWords, type FileFault, type FilePath, type FileSource, faultAt, inOrder } from "./file-fault.ts";
import { schemaFaults } from "./schema-faults.ts";
import { readYaml } from "./yaml-text.ts";

/** A rule that the schema cannot hold; it tells what it found by `blame`. */
export type Blame = (path: FilePath, words: FaultWords) => void;

/**
 * Text to checked file: YAML, then the schema, then the rules that need the whole file. Each step runs only when the
 * one before found nothing, so that one mistake gives one message.
 */
export const readFileText = <S extends z.ZodType>(
  schema: S,
  text: string,
  fileName: string,
  rules: (file: z.output<S>, blame: Blame) => void,
): Result<z.output<S> & { readonly source: FileSource }, readonly FileFault[]> => {
  const yaml = readYaml(text, fileName);
  if (!yaml.ok) return yaml;
  const { value, source } = yaml.value;
  const parsed = schema.safeParse(value);
  if (!parsed.success) return err(schemaFaults(schema, parsed.error.issues, yaml.value));
  const faults: FileFault[] = [];
  rules(parsed.data, (path, words) => faults.push(faultAt(source, path, words)));
  return faults.length > 0 ? err(inOrder(faults)) : ok({ ...(parsed.data as object), source } as never);
};
