import { z } from "zod";
import { canonicalJson } from "../canonical-json.ts";
import { EMPTY_HEAD, nextHead } from "../hash-chain.ts";

/**
 * A bench's own chain: what happened to its store, and every run in it, so that a run that vanished is missed.
 * Canonical JSON, each entry with the head of all entries before it. Entries are only added.
 */
const BENCH_LEDGER_FORMAT = "stillpoint-bench-ledger 1";

const digest = z.string().regex(/^[0-9a-f]{64}$/);

const actSchema = z.discriminatedUnion("act", [
  z.object({ act: z.literal("store-created"), bench_id: z.string(), software_version: z.string(), schema: z.number() }),
  z.object({ act: z.literal("schema-migrated"), schema: z.number(), software_version: z.string() }),
  z.object({ act: z.literal("run-opened"), run_id: z.string(), station: z.string() }),
  z.object({ act: z.literal("run-resumed"), run_id: z.string(), events: z.number().int(), head: digest }),
  z.object({
    act: z.literal("run-closed"),
    run_id: z.string(),
    events: z.number().int(),
    head: digest,
    /** Digest of the row by which the run is found and of its references; null for a run without an event. */
    summary_sha256: digest.nullable(),
  }),
  /** A key signs heads of this store from here on. */
  z.object({ act: z.literal("key-used"), public_key: digest }),
]);
export type BenchAct = z.infer<typeof actSchema>;
export type BenchActOf<K extends BenchAct["act"]> = Extract<BenchAct, { act: K }>;

const entrySchema = z.object({
  format: z.literal(BENCH_LEDGER_FORMAT),
  seq: z.number().int(),
  utc: z.string(),
  previous: digest,
  entry: actSchema,
});
export type BenchEntry = z.infer<typeof entrySchema>;

/** The next entry after `before`. */
export const benchEntry = (
  before: { readonly seq: number; readonly head: string },
  entry: BenchAct,
  utc: string,
): { readonly seq: number; readonly body: string; readonly head: string } => {
  const seq = before.seq + 1;
  const body = canonicalJson({
    format: BENCH_LEDGER_FORMAT,
    seq,
    utc,
    previous: before.head,
    entry: actSchema.parse(entry),
  });
  return { seq, body, head: nextHead(before.head, body) };
};

export const NO_ENTRY = { seq: 0, head: EMPTY_HEAD } as const;

/** null when a text is no entry, or written in another way than it was hashed. */
export const parseBenchEntry = (body: string): BenchEntry | null => {
  try {
    const json: unknown = JSON.parse(body);
    const checked = entrySchema.safeParse(json);
    return checked.success && canonicalJson(json) === body ? checked.data : null;
  } catch {
    return null;
  }
};
