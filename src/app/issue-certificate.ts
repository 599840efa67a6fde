import type { Act } from "../certificate/certificate-input.ts";
import { didTooMuch, may } from "../certificate/issue-check.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import type { CertificateLife } from "./certificate-life.ts";
import type { CertificateStore } from "./certificate-store.ts";
import { current, instant, lifeOf, prepare, recordOf, refused, resultsDigest } from "./certificate-work.ts";
import { drawCertificate, type PreparedCertificate, schemaFaults } from "./certify.ts";
import type { DccSchema } from "./dcc-schema.ts";
import { sha256 } from "./hash-chain.ts";
import { SIGNATURE_FORMAT, type SigningKey, signStatement } from "./sign-certificate.ts";
import type { PdfSigner } from "./sign-pdf.ts";

/** From a draft to an issued certificate, and what may become of it: reviewed, authorised, issued, withdrawn. */

type Step = "reviewed" | "authorised";

const ROLE = { reviewed: "reviews", authorised: "authorises" } as const;

/** Reviews or authorises. In this order, by whom the laboratory's file of the record allows it. */
export const approveCertificate = async (
  store: CertificateStore,
  step: Step,
  number: string,
  by: { readonly name: string; readonly role: string },
  now_ms: number,
): Promise<Result<CertificateLife, Fault>> => {
  const life = current(store, number);
  if (!life.ok) return life;
  const record = recordOf(store, life.value);
  if (!record.ok) return record;
  const prepared = await prepare(store, record.value, life.value.drafted, { issued_ms: now_ms });
  if (!prepared.ok) return prepared;
  const { laboratory, record: run } = prepared.value.input;
  if (!may(laboratory, by.name, ROLE[step])) {
    return refused(
      `${by.name} is not listed as somebody who ${ROLE[step]} at ${laboratory.name}.`,
      `Let somebody do it whom the laboratory file of the run lists with the role "${ROLE[step]}".`,
    );
  }
  const added = await store.add((ledger) => {
    const now = lifeOf(ledger, number);
    if (!now.ok) return now;
    const { state, drafted, reviewed } = now.value;
    const wanted = step === "reviewed" ? "draft" : "reviewed";
    if (state !== wanted) {
      return refused(
        `Certificate ${number} is ${state === "draft" ? "a draft" : state}; it has to be ${wanted === "draft" ? "a draft" : wanted} to be ${step}.`,
        state === "draft" ? `Review it first: stillpoint review ${number} --by NAME.` : "Nothing is left to do here.",
      );
    }
    const tooMuch = didTooMuch(laboratory, {
      measured: run.header.operator.trim(),
      reviewed: step === "reviewed" ? by.name : (reviewed?.by.name ?? ""),
      authorised: step === "authorised" ? by.name : "",
    });
    if (tooMuch !== null) {
      return refused(
        `${tooMuch} has done another act for certificate ${number}, and the laboratory allows one person only "${laboratory.one_person}".`,
        "Let somebody else do it; the laboratory file of the run decides (one_person).",
      );
    }
    return ok({ act: step, number, by, drafted: drafted.seq });
  }, instant(now_ms));
  return added.ok ? current(store, number) : added;
};

export interface IssueOptions {
  readonly now_ms: number;
  readonly key?: SigningKey | undefined;
  readonly schema?: DccSchema | undefined;
  /** Signs the finished bytes of the PDF, last of all. */
  readonly pdfSigner?: PdfSigner | undefined;
}

const actOf = ({ by, utc }: { readonly by: Act; readonly utc: string }): Act => ({ ...by, utc });

/** Makes the one final document, keeps it byte for byte, and enters it into the ledger. */
export const issueCertificate = async (
  store: CertificateStore,
  number: string,
  options: IssueOptions,
): Promise<Result<CertificateLife, Fault>> => {
  const ledger = store.ledger();
  if (!ledger.ok) return ledger;
  const life = lifeOf(ledger.value, number);
  if (!life.ok) return life;
  const { state, drafted, reviewed, authorised } = life.value;
  if (state !== "authorised" || reviewed === undefined || authorised === undefined) {
    return refused(
      `Certificate ${number} is ${state === "draft" ? "a draft" : state}; only an authorised one can be issued.`,
      state === "issued"
        ? `Print it again with: stillpoint reprint ${number}.`
        : "Let it be reviewed and authorised first.",
    );
  }
  const record = recordOf(store, life.value);
  if (!record.ok) return record;
  const prepared = await prepare(store, record.value, drafted, {
    issued_ms: options.now_ms,
    review: actOf(reviewed),
    authorisation: actOf(authorised),
  });
  if (!prepared.ok) return prepared;
  const { model, input, dcc, faults } = prepared.value;
  if (model.status !== "issued" || dcc === null) {
    return refused(
      `Certificate ${number} cannot be issued. Still missing: ${[...model.missing, ...(dcc === null ? ["a result"] : [])].join("; ")}.`,
      "Complete the files and calibrate again, or amend what only concerns names and addresses.",
    );
  }
  const unsound = (found: readonly string[]): Result<never, Fault> =>
    refused(`The data file of certificate ${number} is not sound: ${found.join("; ")}.`, "Report it with the record.");
  if (faults.length > 0) return unsound(faults);
  if (resultsDigest(prepared.value) !== drafted.results_sha256) {
    return refused(
      `The results of certificate ${number} are not those that were reviewed; the program has changed since then.`,
      "Draft it again with this program, and let it be reviewed again.",
    );
  }
  const signature =
    options.key === undefined
      ? null
      : JSON.stringify(
          signStatement(
            {
              format: SIGNATURE_FORMAT,
              number,
              xml_sha256: sha256(dcc),
              record_head: drafted.record_head,
              ledger_head: ledger.value.head,
              laboratory: input.laboratory.name,
              authorised_by: authorised.by.name,
              utc: instant(options.now_ms),
            },
            options.key,
          ),
          null,
          2,
        );
  const more =
    signature === null
      ? []
      : [
          {
            name: `${number}.signature.json`,
            mimeType: "application/json",
            description: "Detached Ed25519 signature of the digital calibration certificate",
            bytes: Buffer.from(signature, "utf8"),
          },
        ];
  const { pdfSigner } = options;
  const [drawn, bySchema] = await Promise.all([
    drawCertificate(
      prepared.value,
      { paper: drafted.paper, issued_ms: options.now_ms },
      more,
      pdfSigner === undefined
        ? undefined
        : { name: authorised.by.name, reason: `${model.title} ${number}`, place: input.laboratory.name },
    ),
    schemaFaults(dcc, options.schema),
  ]);
  if (bySchema.length > 0) return unsound(bySchema);
  if (!drawn.ok) return drawn;
  const pdf = pdfSigner === undefined ? drawn : await pdfSigner.sign(drawn.value, options.now_ms);
  if (!pdf.ok) return pdf;
  const xml_sha256 = await store.keep(`${number}.xml`, dcc);
  if (!xml_sha256.ok) return xml_sha256;
  if (signature !== null) {
    const kept = await store.keep(`${number}.signature.json`, signature);
    if (!kept.ok) return kept;
  }
  const pdf_sha256 = await store.keep(`${number}.pdf`, pdf.value);
  if (!pdf_sha256.ok) return pdf_sha256;
  const added = await store.add((now) => {
    if (now.head !== ledger.value.head) return refused("The ledger has grown meanwhile.", "Issue it again.");
    return ok({
      act: "issued",
      number,
      drafted: drafted.seq,
      day: input.dates.issued,
      software_version: model.software_version,
      pdf_sha256: pdf_sha256.value,
      xml_sha256: xml_sha256.value,
      record_sha256: drafted.record_sha256,
      ...(drafted.replaces === undefined ? {} : { replaces: drafted.replaces.number }),
      references: [...new Set(input.references.map((r) => r.serial_number))],
    });
  }, instant(options.now_ms));
  return added.ok ? current(store, number) : added;
};

/** Withdraws: the results are wrong. Another act than an amendment; it lists who was told. */
export const withdrawCertificate = async (
  store: CertificateStore,
  number: string,
  act: {
    readonly by: { readonly name: string; readonly role: string };
    readonly reason: string;
    readonly told: readonly string[];
  },
  now_ms: number,
): Promise<Result<CertificateLife, Fault>> => {
  const added = await store.add((ledger) => {
    const life = lifeOf(ledger, number);
    if (!life.ok) return life;
    if (life.value.issued === undefined)
      return refused(`Certificate ${number} is not issued.`, "There is nothing to withdraw.");
    if (life.value.withdrawn !== undefined)
      return refused(`Certificate ${number} is withdrawn already.`, "Nothing is left to do.");
    return ok({ act: "withdrawn", number, by: act.by, reason: act.reason, told: [...act.told] });
  }, instant(now_ms));
  return added.ok ? current(store, number) : added;
};

/** The bytes as they were issued; nothing is made anew. */
export const issuedBytes = (
  store: CertificateStore,
  number: string,
  kind: "pdf" | "xml",
): Result<Uint8Array, Fault> => {
  const life = current(store, number);
  if (!life.ok) return life;
  const { issued } = life.value;
  if (issued === undefined)
    return refused(`Certificate ${number} is not issued.`, "Print the draft with: stillpoint certify RECORD.");
  return store.fetch(`${number}.${kind}`, kind === "pdf" ? issued.pdf_sha256 : issued.xml_sha256);
};

/** An issued certificate worked out again from its record, for forms beside it; refused when the figures would differ. */
export const issuedContent = async (
  store: CertificateStore,
  number: string,
): Promise<Result<PreparedCertificate & { readonly issued_ms: number }, Fault>> => {
  const life = current(store, number);
  if (!life.ok) return life;
  const { drafted, reviewed, authorised, issued } = life.value;
  if (issued === undefined || reviewed === undefined || authorised === undefined) {
    return refused(`Certificate ${number} is not issued.`, "Give the record instead; the forms are then marked DRAFT.");
  }
  const record = recordOf(store, life.value);
  if (!record.ok) return record;
  const issued_ms = Date.parse(issued.utc);
  const prepared = await prepare(store, record.value, drafted, {
    issued_ms,
    review: actOf(reviewed),
    authorisation: actOf(authorised),
  });
  if (!prepared.ok) return prepared;
  if (resultsDigest(prepared.value) !== drafted.results_sha256) {
    return refused(
      `This program gives other figures than certificate ${number} was issued with.`,
      "Use the version it was issued with.",
    );
  }
  return ok({ ...prepared.value, issued_ms });
};
