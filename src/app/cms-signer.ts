import { createHash, createPrivateKey, createPublicKey, type KeyObject, sign, X509Certificate } from "node:crypto";
import { createRequire } from "node:module";
import { P12Signer } from "@signpdf/signer-p12";
import { derChildren, readDer } from "./read-der.ts";
import { der, derAlgorithm, derOid, derSet, derTime } from "./write-der.ts";

/** What is used of node-forge, which has no types of its own: opening a certificate file (PKCS #12). */
interface Forge {
  readonly util: { createBuffer(binary: string): unknown };
  readonly asn1: { fromDer(bytes: unknown): unknown; toDer(asn1: unknown): { getBytes(): string } };
  readonly pkcs12: {
    pkcs12FromAsn1(
      asn1: unknown,
      strict: boolean,
      password: string,
    ): {
      getBags(filter: { bagType: string }): Record<string, readonly { cert?: unknown; key?: unknown }[] | undefined>;
    };
  };
  readonly pki: {
    readonly oids: Readonly<Record<string, string>>;
    certificateToAsn1(certificate: unknown): unknown;
    privateKeyToPem(key: unknown): string;
  };
}
const forge = createRequire(import.meta.url)("node-forge") as Forge;

const OID = {
  data: "1.2.840.113549.1.7.1",
  signedData: "1.2.840.113549.1.7.2",
  contentType: "1.2.840.113549.1.9.3",
  messageDigest: "1.2.840.113549.1.9.4",
  signingTime: "1.2.840.113549.1.9.5",
  sha256: "2.16.840.1.101.3.4.2.1",
  rsa: "1.2.840.113549.1.1.1",
} as const;

interface Opened {
  readonly key: KeyObject;
  /** DER of all certificates of the file, and of the one that the key belongs to. */
  readonly certificates: readonly Buffer[];
  readonly own: Buffer;
}

const openP12 = (p12: Buffer, password: string): Opened => {
  const file = forge.pkcs12.pkcs12FromAsn1(
    forge.asn1.fromDer(forge.util.createBuffer(p12.toString("latin1"))),
    false,
    password,
  );
  const bags = (name: string) => {
    const bagType = forge.pki.oids[name] ?? "";
    return file.getBags({ bagType })[bagType] ?? [];
  };
  const [secret] = [...bags("pkcs8ShroudedKeyBag"), ...bags("keyBag")];
  if (!secret?.key) throw new Error("it holds no RSA key");
  const key = createPrivateKey(forge.pki.privateKeyToPem(secret.key));
  const certificates = bags("certBag").flatMap(({ cert }) =>
    cert ? [Buffer.from(forge.asn1.toDer(forge.pki.certificateToAsn1(cert)).getBytes(), "latin1")] : [],
  );
  const mine = createPublicKey(key);
  const own = certificates.find((one) => new X509Certificate(one).publicKey.equals(mine));
  if (own === undefined) throw new Error("no certificate in it belongs to its key");
  return { key, certificates, own };
};

/** Issuer and serial number, by which a signature names its certificate. */
const nameOf = (certificate: Buffer): Buffer => {
  const whole = readDer(certificate);
  const [body] = whole === null ? [] : derChildren(whole);
  const fields = body === undefined ? [] : derChildren(body);
  const from = fields[0]?.tag === 0xa0 ? 1 : 0;
  const [serial, issuer] = [fields[from], fields[from + 2]];
  if (serial === undefined || issuer === undefined) throw new Error("its certificate cannot be read");
  return der(0x30, issuer.whole, serial.whole);
};

/** A detached CMS signature of one RSA signer with SHA-256 (RFC 5652): content type, moment and digest are signed. */
const cmsOf = (content: Buffer, { key, certificates, own }: Opened, at_ms: number): Buffer => {
  const attribute = (oid: string, value: Buffer): Buffer => der(0x30, derOid(oid), der(0x31, value));
  const attributes = [
    attribute(OID.contentType, derOid(OID.data)),
    attribute(OID.signingTime, derTime(at_ms)),
    attribute(OID.messageDigest, der(0x04, createHash("sha256").update(content).digest())),
  ];
  const version = der(0x02, Buffer.from([1]));
  const signer = der(
    0x30,
    version,
    nameOf(own),
    derAlgorithm(OID.sha256),
    derSet(0xa0, attributes),
    derAlgorithm(OID.rsa),
    der(0x04, sign("sha256", derSet(0x31, attributes), key)),
  );
  const signed = der(
    0x30,
    version,
    der(0x31, derAlgorithm(OID.sha256)),
    der(0x30, derOid(OID.data)),
    derSet(0xa0, certificates),
    der(0x31, signer),
  );
  return der(0x30, derOid(OID.signedData), der(0xa0, signed));
};

/** Opens the certificate file once and signs with the runtime's own cryptography, which is several times as quick. */
export class CmsSigner extends P12Signer {
  readonly #p12: Buffer;
  readonly #password: string;
  #opened: Opened | null = null;

  constructor(p12: Buffer, password: string) {
    super(p12, { passphrase: password });
    this.#p12 = p12;
    this.#password = password;
  }

  override async sign(pdf: Buffer, at: Date | undefined): Promise<Buffer> {
    this.#opened ??= openP12(this.#p12, this.#password);
    if (at === undefined) throw new Error("no moment was given");
    return cmsOf(pdf, this.#opened, at.getTime());
  }
}
