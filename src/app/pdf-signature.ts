import { createHash, timingSafeEqual, verify, X509Certificate } from "node:crypto";
import { type DerValue, derChildren, objectIdentifier, readDer } from "./read-der.ts";

/**
 * What the signature inside a PDF proves (ISO 32000-1, 12.8.1; RFC 5652): that the bytes it covers are those that were
 * signed, by whoever holds the key of the certificate inside. Whether that certificate can be trusted is not judged: no
 * list of authorities is at hand, and no revocation is asked for.
 */
export interface PdfSignature {
  /** `holds`: bytes and signature fit. `broken`: they do not. `unreadable`: of a kind that is not judged here. */
  readonly state: "holds" | "broken" | "unreadable";
  /** In words: what is broken, or what cannot be read. */
  readonly why: string | null;
  /** Bytes of the file that the signature covers, without itself: from, length; twice. */
  readonly byte_range: readonly [number, number, number, number];
  /** Bytes that follow the last one covered. */
  readonly bytes_after: number;
  /** As the file names it, such as `adbe.pkcs7.detached`. */
  readonly sub_filter: string | null;
  /** Moment that the signer states; nobody vouches for it. */
  readonly stated_utc: string | null;
  readonly certificate: {
    readonly subject: string;
    readonly issuer: string;
    readonly self_signed: boolean;
    readonly valid_from: string;
    readonly valid_to: string;
    /** SHA-256 of the certificate, hexadecimal, to be compared with what the laboratory says on another way. */
    readonly sha256: string;
    /** Whether the stated moment lies inside its validity; null when no moment is stated. */
    readonly in_date: boolean | null;
  } | null;
}

const OID = {
  signedData: "1.2.840.113549.1.7.2",
  messageDigest: "1.2.840.113549.1.9.4",
  signingTime: "1.2.840.113549.1.9.5",
} as const;

const DIGESTS: Readonly<Record<string, string>> = {
  "2.16.840.1.101.3.4.2.1": "sha256",
  "2.16.840.1.101.3.4.2.2": "sha384",
  "2.16.840.1.101.3.4.2.3": "sha512",
};

const PSS = "1.2.840.113549.1.1.10";

const oneLine = (name: string): string => name.split("\n").join(", ").replaceAll("\\,", ",");

/** UTCTime and GeneralizedTime to ISO 8601; null for anything else. */
const timeOf = ({ tag, content }: DerValue): string | null => {
  const text = Buffer.from(content).toString("latin1");
  const full = tag === 0x17 ? `${Number(text.slice(0, 2)) < 50 ? "20" : "19"}${text}` : text;
  const m = /^(\d{4})(\d\d)(\d\d)(\d\d)(\d\d)(\d\d)Z$/.exec(full);
  return m === null ? null : `${m[1]}-${m[2]}-${m[3]}T${m[4]}:${m[5]}:${m[6]}Z`;
};

type Judged = Pick<PdfSignature, "state" | "why" | "stated_utc" | "certificate">;

const unreadable = (why: string): Judged => ({ state: "unreadable", why, stated_utc: null, certificate: null });

interface Signer {
  readonly serial: string;
  readonly digest: string | undefined;
  readonly attributes: DerValue | undefined;
  readonly algorithm: string;
  readonly signature: Uint8Array;
}

interface Cms {
  readonly signer: Signer;
  readonly certificates: readonly DerValue[];
  /** Nothing but zeros stands behind it in its room. */
  readonly padded: boolean;
}

/** The one signer of a CMS with its certificates (RFC 5652, 5.1 and 5.3). */
const readCms = (cms: Uint8Array): Cms | null => {
  const outer = readDer(cms);
  const [kind, wrapped] = outer === null ? [] : derChildren(outer);
  if (kind === undefined || wrapped === undefined || objectIdentifier(kind) !== OID.signedData) return null;
  const [signedData] = derChildren(wrapped);
  const parts = signedData === undefined ? [] : derChildren(signedData);
  const certificates = parts.find((p) => p.tag === 0xa0);
  const signers = parts.at(-1);
  const infos = signers?.tag === 0x31 ? derChildren(signers) : [];
  const [info] = infos;
  if (certificates === undefined || info === undefined || infos.length !== 1) return null;
  const [, sid, digest, ...rest] = derChildren(info);
  const attributes = rest.find((p) => p.tag === 0xa0);
  const [algorithm, signature] = rest.filter((p) => p.tag === 0x30 || p.tag === 0x04);
  const serial = sid?.tag === 0x30 ? derChildren(sid)[1] : undefined;
  const digestName = digest === undefined ? undefined : derChildren(digest)[0];
  const algorithmName = algorithm === undefined ? undefined : derChildren(algorithm)[0];
  if (serial === undefined || digestName === undefined || algorithmName === undefined || signature === undefined) {
    return null;
  }
  return {
    padded: outer !== null && cms.subarray(outer.whole.length).every((byte) => byte === 0),
    certificates: derChildren(certificates),
    signer: {
      serial: Buffer.from(serial.content).toString("hex").replace(/^0+/, "").toUpperCase(),
      digest: DIGESTS[objectIdentifier(digestName)],
      attributes,
      algorithm: objectIdentifier(algorithmName),
      signature: signature.content,
    },
  };
};

const attribute = (attributes: DerValue, oid: string): DerValue | undefined => {
  for (const one of derChildren(attributes)) {
    const [name, values] = derChildren(one);
    if (name !== undefined && values !== undefined && objectIdentifier(name) === oid) return derChildren(values)[0];
  }
  return undefined;
};

const certificateOf = (certificates: readonly DerValue[], serial: string): X509Certificate | null => {
  for (const { whole } of certificates) {
    try {
      const certificate = new X509Certificate(whole);
      if (certificate.serialNumber.replace(/^0+/, "") === serial) return certificate;
    } catch {
      // Not a certificate of X.509; another of the list may be the signer's.
    }
  }
  return null;
};

const same = (a: Uint8Array, b: Uint8Array): boolean => a.length === b.length && timingSafeEqual(a, b);

const judgeCms = (cms: Uint8Array, covered: readonly Uint8Array[]): Judged => {
  const read = readCms(cms);
  if (read === null) return unreadable("it is no CMS of one signer with a certificate inside");
  const { signer, certificates } = read;
  if (signer.digest === undefined) return unreadable("its digest is none of SHA-256, SHA-384 and SHA-512");
  if (signer.algorithm === PSS) return unreadable("it is signed with RSASSA-PSS, which is not checked here");
  if (signer.attributes === undefined) return unreadable("it has no signed attributes");
  const certificate = certificateOf(certificates, signer.serial);
  if (certificate === null) return unreadable("the signer's certificate is not inside");
  const time = attribute(signer.attributes, OID.signingTime);
  const stated_utc = time === undefined ? null : timeOf(time);
  const from = new Date(certificate.validFrom).toISOString();
  const to = new Date(certificate.validTo).toISOString();
  const known = {
    stated_utc,
    certificate: {
      subject: oneLine(certificate.subject),
      issuer: oneLine(certificate.issuer),
      self_signed: certificate.subject === certificate.issuer,
      valid_from: from,
      valid_to: to,
      sha256: createHash("sha256").update(certificate.raw).digest("hex"),
      in_date:
        stated_utc === null
          ? null
          : Date.parse(stated_utc) >= Date.parse(from) && Date.parse(stated_utc) <= Date.parse(to),
    },
  };
  const hash = createHash(signer.digest);
  for (const part of covered) hash.update(part);
  const said = attribute(signer.attributes, OID.messageDigest);
  if (said === undefined) return { ...unreadable("it does not hold the digest of the file"), ...known };
  // The attributes are signed as a SET, whatever tag they have inside the structure (RFC 5652, 5.4).
  const signedBytes = Buffer.from(signer.attributes.whole);
  signedBytes[0] = 0x31;
  let genuine: boolean;
  try {
    genuine = verify(signer.digest, signedBytes, certificate.publicKey, signer.signature);
  } catch {
    return { ...unreadable("its kind of key is not checked here"), ...known };
  }
  if (!genuine) return { state: "broken", why: "the signature was not made with the key of its certificate", ...known };
  if (!read.padded) return { state: "broken", why: "the room behind the signature is not empty", ...known };
  return same(hash.digest(), said.content)
    ? { state: "holds", why: null, ...known }
    : {
        state: "broken",
        why: "at least one byte of the pages or files inside was changed after it was signed",
        ...known,
      };
};

const BYTE_RANGE = /\/ByteRange\s*\[\s*(\d{1,10})\s+(\d{1,10})\s+(\d{1,10})\s+(\d{1,10})\s*\]/g;

/** Every signature of a PDF, in the order of the file. The last one has to cover the file to its end. */
export const pdfSignatures = (pdf: Uint8Array): readonly PdfSignature[] => {
  const text = Buffer.from(pdf.buffer, pdf.byteOffset, pdf.byteLength).toString("latin1");
  return [...text.matchAll(BYTE_RANGE)].map((match): PdfSignature => {
    const [from, length, again, rest] = match.slice(1).map(Number) as [number, number, number, number];
    const end = again + rest;
    const around = text.slice(text.lastIndexOf(" obj", match.index), text.indexOf("endobj", end > 0 ? match.index : 0));
    const sub_filter = /\/SubFilter\s*\/([\w.]+)/.exec(around)?.[1] ?? null;
    const base = {
      byte_range: [from, length, again, rest] as const,
      bytes_after: Math.max(0, pdf.length - end),
      sub_filter,
    };
    const gap = text.slice(length, again);
    if (from !== 0 || end > pdf.length || again <= length || !/^<[0-9A-Fa-f]*>$/.test(gap)) {
      const why = "what it says it covers does not fit the file: bytes were added or taken away before its end";
      return { ...base, state: "broken", why, stated_utc: null, certificate: null };
    }
    const cms = Buffer.from(gap.slice(1, -1), "hex");
    // The room is larger than the signature and filled with zeros; anything else in it is signed by nobody.
    const behind = cms.subarray(readDer(cms)?.whole.length ?? cms.length).findIndex((byte) => byte !== 0);
    if (behind >= 0) {
      const why = "bytes that nobody signed stand in the room that is left for it";
      return { ...base, state: "broken", why, stated_utc: null, certificate: null };
    }
    return { ...base, ...judgeCms(cms, [pdf.subarray(0, length), pdf.subarray(again, end)]) };
  });
};

/** Level of the signature in words that claim no more than was looked at (EN 319 142-1 for the names). */
const levelOf = (sub_filter: string | null): string =>
  sub_filter === "adbe.pkcs7.detached"
    ? "a plain CMS signature, no PAdES level"
    : `a CMS signature of the kind ${sub_filter ?? "not named"}, judged as plain CMS only`;

/** What stands about the PDF signatures for a person, and whether they prove the whole file, disprove it, or neither. */
export const judgePdfSignatures = (
  signatures: readonly PdfSignature[],
  /** SHA-256 of certificates that the reader knows to be the laboratory's, hexadecimal. */
  known: readonly string[] = [],
): {
  readonly proof: "whole" | "changed" | "none";
  readonly known?: boolean;
  readonly sentences: readonly string[];
} => {
  const last = signatures.at(-1);
  if (last === undefined) return { proof: "none", sentences: [] };
  const broken = signatures.find((s) => s.state === "broken");
  if (broken !== undefined)
    return { proof: "changed", sentences: [`CHANGED: the PDF signature does not hold: ${broken.why}.`] };
  if (last.bytes_after > 0) {
    return {
      proof: "changed",
      sentences: [
        `CHANGED: ${last.bytes_after} byte${last.bytes_after === 1 ? "" : "s"} stand behind what the PDF signature covers; they were added after it was signed.`,
      ],
    };
  }
  const unread = signatures.find((s) => s.state === "unreadable");
  if (unread !== undefined || last.certificate === null) {
    return { proof: "none", sentences: [`The PDF signature could not be judged: ${unread?.why ?? "no certificate"}.`] };
  }
  const { certificate, stated_utc } = last;
  const isKnown = known.includes(certificate.sha256);
  return {
    proof: "whole",
    known: isKnown && certificate.in_date !== false,
    sentences: [
      `The PDF signature holds and covers the whole file (${levelOf(last.sub_filter)}): signed${stated_utc === null ? "" : ` on ${stated_utc.slice(0, 10)}`} by ${certificate.subject}.`,
      `Its certificate is ${certificate.self_signed ? "signed by itself" : `issued by ${certificate.issuer}`}; SHA-256 ${certificate.sha256}. ${isKnown ? "You named it as the laboratory's." : "Whether it is the laboratory's, ask the laboratory by another way: no list of authorities is asked here."}`,
      ...(certificate.in_date === false
        ? [
            `The stated day is outside the certificate's validity, ${certificate.valid_from.slice(0, 10)} to ${certificate.valid_to.slice(0, 10)}.`,
          ]
        : []),
    ],
  };
};
