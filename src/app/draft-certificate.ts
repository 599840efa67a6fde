import type { Language } from "../certificate/print-number.ts";
import type { PaperSize } from "../certificate/render-pdf.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import { CERTIFICATE_NUMBER, type IdentityChange } from "./certificate-ledger.ts";
import { livesOf } from "./certificate-life.ts";
import type { CertificateStore } from "./certificate-store.ts";
import {
  current,
  type DraftOptions,
  instant,
  prepare,
  recordName,
  recordOf,
  refused,
  resultsDigest,
} from "./certificate-work.ts";
import { filesOf } from "./certify.ts";
import { sha256 } from "./hash-chain.ts";
import { knownParts } from "./known-parts.ts";

/** The beginning of a certificate's life: a draft, of a record or of an amendment. */

const keepDraft = async (
  store: CertificateStore,
  record: string,
  draft: DraftOptions,
  now_ms: number,
): Promise<Result<{ readonly missing: readonly string[] }, Fault>> => {
  if (!CERTIFICATE_NUMBER.test(draft.number)) {
    return refused(
      `"${draft.number}" cannot be a certificate number.`,
      "Use letters, digits, point, hyphen and underscore, 80 at most.",
    );
  }
  const { received } = draft.identity;
  if (received !== undefined && !/^\d{4}-\d{2}-\d{2}$/.test(received)) {
    return refused(`"${received}" is not a day.`, "Write the day of receipt as YYYY-MM-DD.");
  }
  const prepared = await prepare(store, record, draft, { issued_ms: now_ms });
  if (!prepared.ok) return prepared;
  const { model, input } = prepared.value;
  const files = filesOf(input.record, knownParts());
  if (!files.ok) return files;
  if (model.simulated || files.value.bench.simulation !== undefined) {
    return refused(
      `Run ${input.record.header.run_id} is SIMULATED: it gives a specimen and never a certificate.`,
      "Calibrate the unit on a real bench.",
    );
  }
  const kept = await store.keep(recordName(sha256(record)), record);
  if (!kept.ok) return kept;
  const added = await store.add((ledger) => {
    const known = livesOf(ledger).get(draft.number);
    if (known?.issued !== undefined) {
      return refused(
        `Certificate ${draft.number} is issued already.`,
        "Amend it under a number of its own, or choose another number.",
      );
    }
    return ok({
      act: "drafted",
      ...draft,
      run_id: input.record.header.run_id,
      record_sha256: kept.value,
      record_head: input.recordHead ?? "",
      results_sha256: resultsDigest(prepared.value),
    });
  }, instant(now_ms));
  return added.ok ? ok({ missing: model.missing }) : added;
};

export interface NewDraft {
  /** Text of the record. */
  readonly record: string;
  readonly number: string;
  readonly language: Language;
  readonly paper: PaperSize;
  /** What the unit file of the record does not say, or says wrongly, about whose and which unit it is. */
  readonly change?: IdentityChange;
  /** Texts of records of tests of this unit, shown for information, and whether with opinions on them. */
  readonly further?: readonly string[];
  readonly opinions?: boolean;
  readonly now_ms: number;
}

/** Enters a draft into the ledger and keeps its record. Made again, it makes a review of the earlier draft void. */
export const draftCertificate = async (store: CertificateStore, draft: NewDraft) => {
  const { record, number, language, paper, change = {}, further = [], opinions = false, now_ms } = draft;
  const digests: string[] = [];
  for (const text of further) {
    const kept = await store.keep(recordName(sha256(text)), text);
    if (!kept.ok) return kept;
    digests.push(kept.value);
  }
  const beside = { ...(digests.length > 0 ? { further: digests } : {}), ...(opinions ? { opinions } : {}) };
  return keepDraft(store, record, { number, language, paper, identity: change, ...beside }, now_ms);
};

export interface Amendment {
  readonly number: string;
  readonly as: string;
  readonly reason: string;
  readonly change: IdentityChange;
  /** A new record: then the results are new, and the certificate is replaced rather than amended. */
  readonly record?: string | undefined;
  readonly now_ms: number;
}

/** Drafts a further document that amends or replaces an issued one; that one stays as it was issued. */
export const amendCertificate = async (store: CertificateStore, amendment: Amendment) => {
  const life = current(store, amendment.number);
  if (!life.ok) return life;
  const { issued, drafted, replaced_by } = life.value;
  if (issued === undefined)
    return refused(`Certificate ${amendment.number} is not issued.`, "Make its draft again instead.");
  if (replaced_by !== undefined) {
    return refused(`Certificate ${amendment.number} was replaced by ${replaced_by}.`, `Amend ${replaced_by}.`);
  }
  if (amendment.as === amendment.number)
    return refused("An amendment has a number of its own.", "Give another with --as.");
  const before = recordOf(store, life.value);
  if (!before.ok) return before;
  const record = amendment.record ?? before.value;
  const earlier = await prepare(store, before.value, drafted, { issued_ms: amendment.now_ms });
  if (!earlier.ok) return earlier;
  const identity: Readonly<Record<string, string | undefined>> = earlier.value.input.unit.identity;
  const changes = Object.entries(amendment.change).flatMap(([key, is]) => {
    const was = identity[key] ?? "–";
    return was === is ? [] : [{ key, was, is }];
  });
  if (amendment.record === undefined && changes.length === 0) {
    return refused("Nothing would change.", "Say what with --set, or give a new record with --record.");
  }
  return keepDraft(
    store,
    record,
    {
      number: amendment.as,
      language: drafted.language,
      paper: drafted.paper,
      ...(drafted.further === undefined ? {} : { further: drafted.further }),
      ...(drafted.opinions === undefined ? {} : { opinions: drafted.opinions }),
      identity: amendment.record === undefined ? { ...drafted.identity, ...amendment.change } : amendment.change,
      replaces: {
        kind: amendment.record === undefined ? "amended" : "substituted",
        number: amendment.number,
        sha256: issued.pdf_sha256,
        reason: amendment.reason,
        changes,
      },
    },
    amendment.now_ms,
  );
};
