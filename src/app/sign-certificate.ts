import { createPrivateKey, createPublicKey, generateKeyPairSync, type KeyObject, sign, verify } from "node:crypto";
import { readFileSync } from "node:fs";
import { z } from "zod";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { canonicalJson } from "./canonical-json.ts";
import { sha256 } from "./hash-chain.ts";

/**
 * Detached Ed25519 signature (RFC 8032) over the canonical JSON of what is signed: number and digest of the digital
 * certificate, head of the record behind it, and head of the ledger before it was issued. Whoever holds the public key
 * can check it without this program.
 */
export const SIGNATURE_FORMAT = "stillpoint-signature 1";

const digest = z.string().regex(/^[0-9a-f]{64}$/);

const signedSchema = z.strictObject({
  format: z.literal(SIGNATURE_FORMAT),
  number: z.string(),
  xml_sha256: digest,
  record_head: digest,
  ledger_head: digest,
  laboratory: z.string(),
  /** Who authorised it. */
  authorised_by: z.string(),
  utc: z.string(),
});
export type SignedStatement = z.infer<typeof signedSchema>;

const signatureSchema = z.object({
  signed: signedSchema,
  algorithm: z.literal("Ed25519"),
  /** 32 bytes, hexadecimal. */
  public_key: digest,
  /** 64 bytes, hexadecimal. */
  signature: z.string().regex(/^[0-9a-f]{128}$/),
});
export type CertificateSignature = z.infer<typeof signatureSchema>;

/** The 12 bytes that stand before the key itself in its SubjectPublicKeyInfo (RFC 8410). */
const SPKI = Buffer.from("302a300506032b6570032100", "hex");

const rawPublicKey = (key: KeyObject): string =>
  key.export({ format: "der", type: "spki" }).subarray(SPKI.length).toString("hex");

const publicKeyOf = (hex: string): KeyObject =>
  createPublicKey({ key: Buffer.concat([SPKI, Buffer.from(hex, "hex")]), format: "der", type: "spki" });

/** First 16 digits of the key's SHA-256, in groups: short enough to be read out on the telephone. */
export const fingerprint = (publicKey: string): string =>
  (sha256(Buffer.from(publicKey, "hex")).slice(0, 16).match(/.{4}/g) ?? []).join(" ");

export interface SigningKey {
  readonly key: KeyObject;
  readonly public_key: string;
}

/** A new pair: the private key as PEM (PKCS #8, encrypted when there is a password), the public one as hexadecimal text. */
export const makeKeyPair = (password: string | undefined): { readonly pem: string; readonly public_key: string } => {
  const { privateKey, publicKey } = generateKeyPairSync("ed25519");
  const pem = privateKey.export({
    format: "pem",
    type: "pkcs8",
    ...(password === undefined ? {} : { cipher: "aes-256-cbc", passphrase: password }),
  });
  return { pem: pem.toString(), public_key: rawPublicKey(publicKey) };
};

const badKey = (message: string): Result<never, Fault> =>
  err(
    fault("refused", "bad-file", message, {
      means: "Nothing was signed and nothing was issued.",
      remedy: "Give the key file that `stillpoint make-key` wrote, and its password in STILLPOINT_KEY_PASSWORD.",
    }),
  );

export const readSigningKey = (path: string, password: string | undefined): Result<SigningKey, Fault> => {
  let pem: string;
  try {
    pem = readFileSync(path, "utf8");
  } catch (error) {
    return badKey(`The key ${path} could not be read: ${error instanceof Error ? error.message : String(error)}.`);
  }
  try {
    const key = createPrivateKey({
      key: pem,
      format: "pem",
      ...(password === undefined ? {} : { passphrase: password }),
    });
    if (key.asymmetricKeyType !== "ed25519")
      return badKey(`The key ${path} is of the kind ${key.asymmetricKeyType}, not Ed25519.`);
    return ok({ key, public_key: rawPublicKey(createPublicKey(key)) });
  } catch {
    return badKey(`The key ${path} cannot be opened: it is no key, or its password is another.`);
  }
};

export const signStatement = (statement: SignedStatement, { key, public_key }: SigningKey): CertificateSignature => ({
  signed: statement,
  algorithm: "Ed25519",
  public_key,
  signature: sign(null, Buffer.from(canonicalJson(statement), "utf8"), key).toString("hex"),
});

/** Text of a signature file; null when it is none. */
export const parseSignature = (text: string): CertificateSignature | null => {
  try {
    const checked = signatureSchema.safeParse(JSON.parse(text));
    return checked.success ? checked.data : null;
  } catch {
    return null;
  }
};

/** Whether a key, 32 bytes hexadecimal, gave a signature, 64 bytes hexadecimal. */
export const bytesSignedBy = (bytes: Uint8Array, public_key: string, signature: string): boolean => {
  try {
    return verify(null, bytes, publicKeyOf(public_key), Buffer.from(signature, "hex"));
  } catch {
    return false;
  }
};

export const signatureHolds = ({ signed, public_key, signature }: CertificateSignature): boolean => {
  try {
    return bytesSignedBy(Buffer.from(canonicalJson(signed), "utf8"), public_key, signature);
  } catch {
    return false;
  }
};
