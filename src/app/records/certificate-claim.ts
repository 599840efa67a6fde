import { at, readXml, textOf } from "../../certificate/dcc/read-xml.ts";
import type { KnownParts } from "../../config/known-drivers.ts";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { attachedFiles } from "../certificate-files.ts";
import { prepareCertificate } from "../certify.ts";
import { parseSignature, signatureHolds } from "../sign-certificate.ts";
import { type Finding, finding } from "./proof.ts";

/** What a certificate, draft or issued, claims of the record behind it. */
export interface CertificateClaim {
  readonly number: string;
  readonly run_id: string;
  readonly head: string;
  readonly language: "en" | "de";
  /** The results as they are written in its data file, figure by figure. */
  readonly results: string;
  /** Key that signed it, when a signature lies in it and holds. */
  readonly signed_by: string | null;
}

const RESULTS = /<dcc:measurementResults>[\s\S]*<\/dcc:measurementResults>/u;

const notReadable = (name: string): Result<never, Fault> =>
  err(
    fault("refused", "bad-file", `${name} holds no data file of a certificate that names its run and record.`, {
      remedy: "Give the XML beside the certificate, or the PDF as it was issued.",
    }),
  );

/** Bytes of a PDF or of the XML beside it. */
export const certificateClaim = (name: string, bytes: Uint8Array): Result<CertificateClaim, Fault> => {
  const text = Buffer.from(bytes).toString("utf8");
  const inside = text.startsWith("%PDF-") ? attachedFiles(bytes) : null;
  const attached = (end: string): string | null => {
    const found = [...(inside ?? [])].find(([file]) => file.endsWith(end));
    return found === undefined ? null : Buffer.from(found[1]).toString("utf8");
  };
  const xml = inside === null ? text : attached(".xml");
  const read = xml === null ? null : readXml(xml);
  if (xml === null || read === null || !read.ok) return notReadable(name);
  const core = at(read.value, "dcc:administrativeData", "dcc:coreData");
  if (core === undefined) return notReadable(name);
  const values = (at(core, "dcc:identifications")?.children ?? []).flatMap((child) =>
    typeof child === "string" ? [] : [textOf(at(child, "dcc:value")).trim()],
  );
  const head = values.find((value) => /^[0-9a-f]{64}$/u.test(value));
  const run_id = values.find((value) => value !== "" && value !== head);
  const results = RESULTS.exec(xml)?.[0];
  if (head === undefined || run_id === undefined || results === undefined) return notReadable(name);
  const signature = parseSignature(attached(".signature.json") ?? "");
  return ok({
    number: textOf(at(core, "dcc:uniqueIdentifier")).trim(),
    run_id,
    head,
    language: textOf(at(core, "dcc:mandatoryLangCodeISO639_1")).trim() === "de" ? "de" : "en",
    results,
    signed_by: signature !== null && signatureHolds(signature) ? signature.public_key : null,
  });
};

/** Works the results out again from the readings of a record and compares them digit by digit. */
export const proveFigures = async (
  claim: CertificateClaim,
  record: string,
  known: KnownParts,
): Promise<readonly Finding[]> => {
  const where = `certificate ${claim.number}`;
  const prepared = await prepareCertificate(record, known, { language: claim.language, paper: "A4", issued_ms: 0 });
  if (!prepared.ok) {
    return [finding("figures-differ", where, `The record gives no results: ${prepared.fault.message}`)];
  }
  const results = RESULTS.exec(prepared.value.dcc ?? "")?.[0] ?? "";
  if (results === claim.results) return [];
  const [ours, theirs] = [results.split("\n"), claim.results.split("\n")];
  const line = theirs.findIndex((text, i) => text !== ours[i]);
  return [
    finding(
      "figures-differ",
      where,
      `FIGURES DIFFER: ${where} says "${theirs[line]?.trim() ?? "nothing"}" where the readings give "${ours[line]?.trim() ?? "nothing"}".`,
    ),
  ];
};
