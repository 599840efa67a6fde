import { z } from "zod";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { canonicalJson } from "./canonical-json.ts";
import { EMPTY_HEAD, nextHead } from "./hash-chain.ts";

/**
 * What happened to certificates, for ever: one line an act, canonical JSON, each with the head of all lines before it.
 * Lines are only added. A correction is another act.
 */
const LEDGER_FORMAT = "stillpoint-ledger 1";

/** File names are made of it, so it holds letters, digits, point, hyphen and underscore only. */
export const CERTIFICATE_NUMBER = /^[A-Za-z0-9][A-Za-z0-9._-]{0,79}$/;

const number = z.string().regex(CERTIFICATE_NUMBER);
const digest = z.string().regex(/^[0-9a-f]{64}$/);
const person = z.object({ name: z.string().min(1), role: z.string() });

/** What an amendment may say otherwise than the unit file that lies in the record. */
export const IDENTITY_KEYS = [
  "maker",
  "model",
  "serial_number",
  "tag",
  "customer",
  "customer_contact",
  "condition",
  "received",
] as const;
const identityChangeSchema = z.partialRecord(z.enum(IDENTITY_KEYS), z.string().min(1));
export type IdentityChange = z.infer<typeof identityChangeSchema>;

const actSchema = z.discriminatedUnion("act", [
  z.object({
    act: z.literal("drafted"),
    number,
    run_id: z.string(),
    record_sha256: digest,
    record_head: digest,
    /** Digest of the rounded results, so that what is issued is what was reviewed. */
    results_sha256: digest,
    language: z.enum(["en", "de"]),
    paper: z.enum(["A4", "Letter"]),
    /** All that differs from the unit file of the record, also from earlier amendments. */
    identity: identityChangeSchema,
    /** Records of tests shown for information, as they are kept beside the ledger; and whether with opinions. */
    further: z.array(digest).optional(),
    opinions: z.boolean().optional(),
    replaces: z
      .object({
        kind: z.enum(["amended", "substituted"]),
        number,
        sha256: digest,
        reason: z.string().min(1),
        /** Only what changed with this amendment. */
        changes: z.array(z.object({ key: z.string(), was: z.string(), is: z.string() })),
      })
      .optional(),
  }),
  z.object({ act: z.literal("reviewed"), number, by: person, drafted: z.number().int() }),
  z.object({ act: z.literal("authorised"), number, by: person, drafted: z.number().int() }),
  z.object({
    act: z.literal("issued"),
    number,
    drafted: z.number().int(),
    /** Day of issue in the laboratory's time zone. */
    day: z.string(),
    software_version: z.string(),
    pdf_sha256: digest,
    xml_sha256: digest,
    record_sha256: digest,
    replaces: number.optional(),
    /** Serial numbers of the references, so that a faulty one leads to every certificate that rests on it. */
    references: z.array(z.string()),
  }),
  z.object({
    act: z.literal("withdrawn"),
    number,
    by: person,
    reason: z.string().min(1),
    /** Who was told that the results are wrong. */
    told: z.array(z.string()),
  }),
]);
export type LedgerAct = z.infer<typeof actSchema>;
export type LedgerActOf<K extends LedgerAct["act"]> = Extract<LedgerAct, { act: K }>;

const entrySchema = z.object({
  format: z.literal(LEDGER_FORMAT),
  seq: z.number().int(),
  utc: z.string(),
  /** Head over all lines before this one. */
  previous: digest,
  entry: actSchema,
});
export type LedgerEntry = z.infer<typeof entrySchema>;

export interface Ledger {
  readonly entries: readonly LedgerEntry[];
  /** Head after each entry, by its place; what a signature was bound to can be found again. */
  readonly heads: readonly string[];
  /** Head over all of them. */
  readonly head: string;
}

export const EMPTY_LEDGER: Ledger = { entries: [], heads: [], head: EMPTY_HEAD };

/** The next line, without its line end. */
export const ledgerLine = (ledger: Ledger, entry: LedgerAct, utc: string): string =>
  canonicalJson({
    format: LEDGER_FORMAT,
    seq: ledger.entries.length,
    utc,
    previous: ledger.head,
    entry: actSchema.parse(entry),
  });

const damaged = (line: number, what: string): Result<never, Fault> =>
  err(
    fault("record", "record-damaged", `Line ${line} of the ledger ${what}.`, {
      means: "What the ledger says from there on proves nothing.",
      remedy: "Fetch the ledger from its backup; do not mend it by hand.",
    }),
  );

const parsed = (line: string): LedgerEntry | null => {
  try {
    const json: unknown = JSON.parse(line);
    const checked = entrySchema.safeParse(json);
    // A line that was written in another way than ours is not what was hashed.
    return checked.success && canonicalJson(json) === line ? checked.data : null;
  } catch {
    return null;
  }
};

/**
 * Text of a ledger to its entries. Tells apart, by line: changed, lost, doubled or moved. That its end was cut off cannot
 * be seen in it; for that the head is kept outside, in the signature of every certificate.
 */
export const readLedger = (text: string): Result<Ledger, Fault> => {
  const lines = text.split("\n");
  if (lines.pop() !== "") return damaged(lines.length + 1, "breaks off");
  const entries: LedgerEntry[] = [];
  const heads: string[] = [];
  let head = EMPTY_HEAD;
  for (const [i, line] of lines.entries()) {
    const entry = parsed(line);
    if (entry === null) return damaged(i + 1, "was changed: it is no act");
    if (entry.seq !== i) {
      const known = entries.some((e) => e.seq === entry.seq);
      return damaged(
        i + 1,
        known
          ? `is doubled or moved: it is act ${entry.seq} once more`
          : `is act ${entry.seq}; act ${i} was lost or moved`,
      );
    }
    if (entry.previous !== head) {
      return damaged(i + 1, "does not continue the lines before it: one of them was changed");
    }
    head = nextHead(head, line);
    entries.push(entry);
    heads.push(head);
  }
  return ok({ entries, heads, head });
};
