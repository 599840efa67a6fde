import type { CertificateInput } from "../certificate/certificate-input.ts";
import type { Language } from "../certificate/print-number.ts";
import { textsFor } from "../certificate/texts/index.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { canonicalJson } from "./canonical-json.ts";
import type { Ledger, LedgerActOf } from "./certificate-ledger.ts";
import { type CertificateLife, livesOf } from "./certificate-life.ts";
import type { CertificateStore } from "./certificate-store.ts";
import { type CertifyOptions, type PreparedCertificate, prepareCertificate } from "./certify.ts";
import { furtherTests } from "./further-tests.ts";
import { sha256 } from "./hash-chain.ts";
import { knownParts } from "./known-parts.ts";

/** What every act in the life of a certificate needs: its ledger entry, its record, its contents worked out again. */

/** An act that is not allowed, with what to do instead. */
export const refused = (message: string, remedy: string): Result<never, Fault> =>
  err(fault("refused", "not-allowed", message, { means: "Nothing was changed.", remedy }));

export const instant = (now_ms: number): string => new Date(now_ms).toISOString();

export const recordName = (digest: string): string => `record-${digest.slice(0, 24)}.jsonl`;

/** How far a certificate has come; a fault when the ledger does not know it. */
export const lifeOf = (ledger: Ledger, number: string): Result<CertificateLife, Fault> => {
  const life = livesOf(ledger).get(number);
  return life === undefined
    ? refused(
        `The ledger knows no certificate ${number}.`,
        "Make its draft first: stillpoint draft RECORD --number NUMBER.",
      )
    : ok(life);
};

/** The same, as the ledger stands now. */
export const current = (store: CertificateStore, number: string): Result<CertificateLife, Fault> => {
  const ledger = store.ledger();
  return ledger.ok ? lifeOf(ledger.value, number) : ledger;
};

/** Text of the record behind a certificate, if it is still what was kept. */
export const recordOf = (store: CertificateStore, { drafted }: CertificateLife): Result<string, Fault> => {
  const bytes = store.fetch(recordName(drafted.record_sha256), drafted.record_sha256);
  return bytes.ok ? ok(Buffer.from(bytes.value).toString("utf8")) : bytes;
};

/** Digest of the rounded results: what was reviewed is what is issued. */
export const resultsDigest = ({ model }: PreparedCertificate): string => sha256(canonicalJson(model.results));

/** Names of the parts of a unit's identity as they are printed. */
const labelOf = (key: string, language: Language): string => {
  const texts = textsFor(language);
  const labels: Readonly<Record<string, string>> = {
    maker: texts.maker,
    model: texts.model,
    serial_number: texts.serialNumber,
    tag: texts.tag,
    customer: texts.customer,
    customer_contact: texts.contact,
    condition: texts.condition,
    received: texts.received,
  };
  return labels[key] ?? key;
};

const replacesOf = ({ replaces, language }: LedgerActOf<"drafted">): CertificateInput["replaces"] =>
  replaces === undefined
    ? undefined
    : {
        ...replaces,
        changes: replaces.changes.map(({ key, was, is }) => ({ what: labelOf(key, language), was, is })),
      };

export type DraftOptions = Pick<
  LedgerActOf<"drafted">,
  "number" | "language" | "paper" | "identity" | "replaces" | "further" | "opinions"
>;

/** The tests that a draft shows beside its results, from the records kept for it; undefined where it shows none. */
const furtherOf = (
  store: Pick<CertificateStore, "fetch">,
  record: string,
  { further = [], opinions = false }: DraftOptions,
): Result<CertifyOptions["further"], Fault> => {
  if (further.length === 0 && !opinions) return ok(undefined);
  const texts: string[] = [];
  for (const digest of further) {
    const bytes = store.fetch(recordName(digest), digest);
    if (!bytes.ok) return bytes;
    texts.push(Buffer.from(bytes.value).toString("utf8"));
  }
  return furtherTests(record, texts, knownParts(), opinions);
};

/** A certificate worked out from its record as its draft asks for it. */
export const prepare = async (
  store: Pick<CertificateStore, "fetch">,
  record: string,
  draft: DraftOptions,
  more: Pick<CertifyOptions, "issued_ms" | "review" | "authorisation">,
): Promise<Result<PreparedCertificate, Fault>> => {
  const further = furtherOf(store, record, draft);
  if (!further.ok) return further;
  return prepareCertificate(record, knownParts(), {
    further: further.value,
    number: draft.number,
    language: draft.language,
    paper: draft.paper,
    identity: draft.identity,
    replaces: replacesOf(draft as LedgerActOf<"drafted">),
    ...more,
  });
};
