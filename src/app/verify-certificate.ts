import { checkDcc } from "../certificate/dcc/check-dcc.ts";
import { at, readXml, textOf } from "../certificate/dcc/read-xml.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { attachedFiles } from "./certificate-files.ts";
import { chainOf, livesOf } from "./certificate-life.ts";
import type { CertificateStore } from "./certificate-store.ts";
import { firstDifference } from "./first-difference.ts";
import { EMPTY_HEAD, sha256 } from "./hash-chain.ts";
import { judgePdfSignatures, type PdfSignature, pdfSignatures } from "./pdf-signature.ts";
import { type CertificateSignature, fingerprint, parseSignature, signatureHolds } from "./sign-certificate.ts";

/** What can be said about a file that somebody holds in hand, and how far each thing is proved. */
export interface Verification {
  readonly kind: "pdf" | "digital-certificate" | "other";
  readonly number: string | null;
  readonly laboratory: string | null;
  readonly issue_date: string | null;
  /** `whole` was proved; `changed` was disproved; `unproved`: nothing at hand proves either. */
  readonly content: "whole" | "changed" | "unproved";
  /** What stands now, as far as the ledger says it. */
  readonly standing: "valid" | "replaced" | "withdrawn" | "draft" | "specimen" | "unknown";
  readonly signed: {
    readonly laboratory: string;
    readonly authorised_by: string;
    readonly utc: string;
    readonly public_key: string;
    readonly fingerprint: string;
    readonly key: "known" | "unknown";
  } | null;
  /** What the signatures inside a PDF prove of its pages; none in another file. */
  readonly pdf_signatures: readonly PdfSignature[];
  readonly replaced_by: string | null;
  /** From the first certificate to the one that stands now. */
  readonly chain: readonly string[];
  /** The same in sentences for a person, the most important first. */
  readonly sentences: readonly string[];
}

export interface VerifyOptions {
  readonly store?: CertificateStore | undefined;
  /** Public keys that the reader knows to be the laboratory's, hexadecimal. */
  readonly keys?: readonly string[];
  /** SHA-256 of certificates that the reader knows to sign the laboratory's pages, hexadecimal. */
  readonly signers?: readonly string[];
  /** Text of the signature file, when it lies beside and not inside. */
  readonly signature?: string | undefined;
}

interface Facts {
  readonly number: string | null;
  readonly laboratory: string | null;
  readonly issue_date: string | null;
}

const factsOf = (xml: string | null): Facts => {
  const read = xml === null ? null : readXml(xml);
  if (read === null || !read.ok || read.value.name !== "dcc:digitalCalibrationCertificate") {
    return { number: null, laboratory: null, issue_date: null };
  }
  const said = (...path: readonly string[]): string | null => {
    const text = textOf(at(read.value, "dcc:administrativeData", ...path)).trim();
    return text === "" ? null : text;
  };
  return {
    number: said("dcc:coreData", "dcc:uniqueIdentifier"),
    laboratory: said("dcc:calibrationLaboratory", "dcc:contact", "dcc:name"),
    issue_date: said("dcc:coreData", "dcc:issueDate"),
  };
};

const MARKS = /^(SIMULATED|SIMULIERT|DRAFT|ENTWURF)-/;

const markOf = (number: string | null, bytes: string): "specimen" | "draft" | null => {
  const word = MARKS.exec(number ?? "")?.[1] ?? /<pdf:Keywords>(SIMULATED|SIMULIERT|DRAFT|ENTWURF)</.exec(bytes)?.[1];
  if (word === undefined) return null;
  return word.startsWith("SIM") ? "specimen" : "draft";
};

type Judgement = { readonly content: Verification["content"]; readonly sentences: readonly string[] };

const judgeSignature = (
  signature: CertificateSignature | null,
  xml: string | null,
  number: string | null,
  keys: readonly string[],
  pdf: boolean,
): Judgement => {
  if (signature === null) {
    return {
      content: "unproved",
      sentences: ["It carries no signature of ours, so only the laboratory's ledger can prove it."],
    };
  }
  const { signed, public_key } = signature;
  if (!signatureHolds(signature)) {
    return { content: "changed", sentences: ["CHANGED: the signature does not belong to what it claims to sign."] };
  }
  if (xml === null || signed.xml_sha256 !== sha256(xml) || signed.number !== number) {
    return {
      content: "changed",
      sentences: [`CHANGED: the signature is that of another data file (number ${signed.number}).`],
    };
  }
  const who = `Signed on ${signed.utc.slice(0, 10)} for ${signed.laboratory}, authorised by ${signed.authorised_by}, with the key ${fingerprint(public_key)}.`;
  const known = keys.includes(public_key);
  const sentences = [
    who,
    known
      ? "The key is one you named."
      : "You named no such key: ask the laboratory, by another way than this file, whether the key is theirs.",
    ...(pdf
      ? [
          "The signature covers the data file inside; that the pages are unchanged only the ledger or a PDF signature can prove.",
        ]
      : []),
  ];
  return { content: known ? "whole" : "unproved", sentences };
};

/**
 * Tells what a PDF or XML file is, whether it is whole, by whom it was signed and what took its place. Without the ledger
 * it says what remains unknown. A ledger that was tampered with is a fault of its own.
 */
export const verifyCertificate = (
  bytes: Uint8Array,
  options: VerifyOptions = {},
): { readonly finding: Verification; readonly ledgerFault: Fault | null } => {
  const text = Buffer.from(bytes).toString("utf8");
  const pdf = text.startsWith("%PDF-");
  const inside = pdf ? attachedFiles(bytes) : new Map<string, Uint8Array>();
  const own = (end: string): string | null => {
    const found = [...inside].find(([name]) => name.endsWith(end));
    return found === undefined ? null : Buffer.from(found[1]).toString("utf8");
  };
  const xml = pdf ? own(".xml") : text;
  const facts = factsOf(xml);
  const { number } = facts;
  const kind = pdf ? "pdf" : number === null ? "other" : "digital-certificate";
  const signatureText = own(".signature.json") ?? options.signature;
  const signature = signatureText === undefined ? null : parseSignature(signatureText);
  const mark = markOf(number, text);
  const sentences: string[] = [];
  let standing: Verification["standing"] = mark ?? "unknown";
  let replaced_by: string | null = null;
  let chain: readonly string[] = [];

  const judged: Judgement =
    number === null
      ? {
          content: "unproved",
          sentences: [
            pdf
              ? "No data file of a certificate is found inside this PDF; another program may have written it anew."
              : "This is no calibration certificate.",
          ],
        }
      : mark !== null
        ? {
            content: "unproved",
            sentences: [
              mark === "draft" ? "DRAFT: it was never issued." : "SIMULATED: a specimen, which proves nothing.",
            ],
          }
        : judgeSignature(signature, xml, number, options.keys ?? [], pdf);
  let content = judged.content;

  const ledger = options.store?.ledger();
  const ledgerFault = ledger !== undefined && !ledger.ok ? ledger.fault : null;
  if (ledger?.ok && number !== null && mark === null) {
    const lives = livesOf(ledger.value);
    const life = lives.get(number);
    if (life?.issued === undefined) {
      content = "changed";
      sentences.push(`The ledger has issued no certificate ${number}.`);
    } else {
      const { issued, withdrawn } = life;
      const same = sha256(bytes) === (pdf ? issued.pdf_sha256 : issued.xml_sha256);
      content = same ? "whole" : "changed";
      sentences.push(
        same
          ? `WHOLE: byte for byte as issued on ${issued.day}.`
          : `CHANGED: certificate ${number} was issued on ${issued.day} with other bytes${firstDifference(options.store?.fetch(`${number}.${pdf ? "pdf" : "xml"}`, pdf ? issued.pdf_sha256 : issued.xml_sha256), bytes)}.`,
      );
      chain = chainOf(lives, number);
      replaced_by = life.replaced_by ?? null;
      standing = withdrawn !== undefined ? "withdrawn" : replaced_by !== null ? "replaced" : "valid";
      if (withdrawn !== undefined) {
        sentences.push(`WITHDRAWN on ${withdrawn.utc.slice(0, 10)} by ${withdrawn.by.name}: ${withdrawn.reason}`);
      }
      if (replaced_by !== null)
        sentences.push(`REPLACED BY ${replaced_by}; the one that stands now is ${chain.at(-1)}.`);
      const earlier = chain[chain.indexOf(number) - 1];
      if (earlier !== undefined) sentences.push(`It takes the place of ${earlier}.`);
    }
    const head = signature?.signed.ledger_head;
    if (head !== undefined && head !== EMPTY_HEAD && !ledger.value.heads.includes(head)) {
      sentences.push(
        "The ledger is not the one that stood when this certificate was signed: it was cut off or built anew.",
      );
    }
  } else if (ledgerFault !== null) {
    sentences.push(`The ledger cannot be trusted: ${ledgerFault.message}`);
  } else if (mark === null && number !== null) {
    sentences.push("Whether it was replaced or withdrawn cannot be told without the laboratory's ledger.");
  }
  const pdf_signatures = pdf ? pdfSignatures(bytes) : [];
  const pages = judgePdfSignatures(pdf_signatures, options.signers);
  sentences.push(...pages.sentences);
  if (judged.content === "changed" || pages.proof === "changed") content = "changed";
  else if (content === "unproved" && pages.known === true && mark === null && number !== null) content = "whole";
  const odd = xml === null || number === null ? [] : checkDcc(xml).filter((r) => r.weight === "wrong");
  if (odd.length > 0) sentences.push(`The data file is not sound: ${odd[0]?.text}`);
  return {
    ledgerFault,
    finding: {
      kind,
      ...facts,
      content,
      standing,
      signed:
        signature === null || !signatureHolds(signature)
          ? null
          : {
              laboratory: signature.signed.laboratory,
              authorised_by: signature.signed.authorised_by,
              utc: signature.signed.utc,
              public_key: signature.public_key,
              fingerprint: fingerprint(signature.public_key),
              key: (options.keys ?? []).includes(signature.public_key) ? "known" : "unknown",
            },
      pdf_signatures,
      replaced_by,
      chain,
      sentences: [
        ...(judged.content === "changed" ? judged.sentences : []),
        ...sentences,
        ...(judged.content === "changed" ? [] : judged.sentences),
      ],
    },
  };
};
