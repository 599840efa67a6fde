import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, it } from "vitest";
import { dataInside } from "../../src/app/certify.ts";
import { pdfSignatures } from "../../src/app/pdf-signature.ts";
import { type PdfSigner, readPdfSigner } from "../../src/app/sign-pdf.ts";
import { verifyCertificate } from "../../src/app/verify-certificate.ts";
import { certificateModel } from "../../src/certificate/certificate-model.ts";
import { dccText } from "../../src/certificate/dcc/dcc-text.ts";
import { renderPdf } from "../../src/certificate/render-pdf.ts";
import { missingOfArchiveList } from "../certificate/archive-list.ts";
import { sampleFonts } from "../certificate/sample-fonts.ts";
import { sampleInput } from "../certificate/sample-input.ts";
import { describeWith, made, run } from "../certificate/witness.ts";
import { must } from "./practice-job.ts";

const AT = Date.UTC(2031, 2, 5, 9);

describeWith(["openssl", "pdfsig", "qpdf", "pdfdetach"], "a signed PDF as others read it", () => {
  const place = mkdtempSync(join(tmpdir(), "signing-"));
  const p12 = join(place, "laboratory.p12");
  let signer: PdfSigner;
  let drawn: Uint8Array;
  let signed: Buffer;
  afterAll(() => rmSync(place, { recursive: true, force: true }));

  beforeAll(async () => {
    const key = join(place, "key.pem");
    const certificate = join(place, "certificate.pem");
    const subject = "/CN=Valve Workshop, Three Kettles Brewery";
    const quiet = { stdio: "pipe" } as const;
    execFileSync(
      "openssl",
      [
        "req",
        "-x509",
        "-newkey",
        "rsa:2048",
        "-nodes",
        "-days",
        "3650",
        "-subj",
        subject,
        "-keyout",
        key,
        "-out",
        certificate,
      ],
      quiet,
    );
    execFileSync(
      "openssl",
      ["pkcs12", "-export", "-inkey", key, "-in", certificate, "-passout", "pass:secret", "-out", p12],
      quiet,
    );
    signer = must(readPdfSigner(p12, "secret"));
    const input = sampleInput({ simulated: false });
    const model = certificateModel(input);
    drawn = must(
      await renderPdf(model, {
        paper: "A4",
        fonts: sampleFonts,
        createdAt: new Date(AT),
        attachments: dataInside({ model, dcc: dccText(input) }),
        signature: { name: "C. Head", reason: "Calibration certificate", place: "Millbridge", at: new Date(AT) },
      }),
    );
    signed = Buffer.from(must(await signer.sign(drawn, AT)));
  });

  it("R111: the signature is valid and covers the whole file, with the data file inside", () => {
    const said = run("pdfsig", ["-nocert", "{}"], signed);
    expect(said).toMatch(/Signature is Valid/);
    expect(said).toMatch(/Total document signed/);
    expect(said).toMatch(/Valve Workshop/);
    expect(run("qpdf", ["--check", "{}"], signed)).toContain("No syntax or stream encoding errors found");
    const data = made("pdfdetach", ["-save", "1", "-o", "{out}", "{}"], signed);
    expect(Buffer.from(data).toString("utf8")).toBe(dccText(sampleInput({ simulated: false })));
  });

  it("R111: one changed byte, anywhere, is noticed", () => {
    for (const share of [0.1, 0.5, 0.97]) {
      const spoilt = Buffer.from(signed);
      const i = Math.floor(share * spoilt.length);
      spoilt[i] = (spoilt[i] ?? 0) ^ 1;
      let said: string;
      try {
        said = run("pdfsig", ["-nocert", "{}"], spoilt);
      } catch {
        continue;
      }
      expect(said, String(share)).not.toMatch(/Signature is Valid[\s\S]*Total document signed/);
    }
  });

  it("R112: calls itself a plain CMS signature and claims no PAdES level", () => {
    expect(run("pdfsig", ["-nocert", "{}"], signed)).toMatch(/Signature Type: adbe\.pkcs7\.detached/);
    expect(signed.toString("latin1")).not.toMatch(/ETSI\.CAdES/);
  });

  it("R105: the field takes nothing away from the part of the archive format that is looked up", () => {
    expect(missingOfArchiveList(signed)).toEqual([]);
  });

  it("a wrong password, no file and a file that is none are refused in one sentence", async () => {
    const wrong = await must(readPdfSigner(p12, "another")).sign(drawn, AT);
    expect(wrong.ok ? "" : wrong.fault.message).toMatch(/The password of .* is another/);
    expect(readPdfSigner(join(place, "nowhere.p12"), "")).toMatchObject({ ok: false, fault: { code: "bad-file" } });
    const nothing = await must(readPdfSigner(join(place, "key.pem"), "")).sign(drawn, AT);
    expect(nothing.ok ? "" : nothing.fault.message).toMatch(/could not be signed/);
  });

  it("R111: verify says itself that the signature holds, by whom, and that it covers the whole file", () => {
    expect(pdfSignatures(signed)).toMatchObject([
      {
        state: "holds",
        bytes_after: 0,
        sub_filter: "adbe.pkcs7.detached",
        stated_utc: "2031-03-05T09:00:00Z",
        certificate: { subject: "CN=Valve Workshop, Three Kettles Brewery", self_signed: true },
      },
    ]);
    const { finding } = verifyCertificate(signed);
    const said = finding.sentences.join(" ");
    expect(said).toMatch(/PDF signature holds and covers the whole file \(a plain CMS signature, no PAdES level\)/);
    expect(said).toMatch(/by CN=Valve Workshop, Three Kettles Brewery/);
    expect(finding.content).toBe("unproved");
    const [signature] = pdfSignatures(signed);
    const known = verifyCertificate(signed, { signers: [signature?.certificate?.sha256 ?? ""] }).finding;
    expect(known.content).toBe("whole");
    expect(known.sentences.join(" ")).toMatch(/You named it as the laboratory's/);
  });

  it("R104: bytes hidden behind the signature in its own room are found", () => {
    const [signature] = pdfSignatures(signed);
    const [, , again = 0] = signature?.byte_range ?? [];
    const stuffed = Buffer.from(signed);
    stuffed.write("beef", again - 9, "latin1");
    const { finding } = verifyCertificate(stuffed);
    expect(finding.content).toBe("changed");
    expect(finding.sentences.join(" ")).toMatch(/bytes that nobody signed/);
  });

  it("R104: verify tells a changed byte from bytes added behind and from bytes taken away", () => {
    const [signature] = pdfSignatures(signed);
    const [, length = 0, again = 0] = signature?.byte_range ?? [];
    const places = [20, 5000, length - 400, again + 40, signed.length - 20];
    for (const i of places) {
      const spoilt = Buffer.from(signed);
      spoilt[i] = (spoilt[i] ?? 0) ^ 1;
      const { finding } = verifyCertificate(spoilt);
      expect([i, finding.content], String(i)).toEqual([i, "changed"]);
    }
    const grown = verifyCertificate(Buffer.concat([signed, Buffer.from("%appended\n")])).finding;
    expect(grown).toMatchObject({ content: "changed" });
    expect(grown.sentences.join(" ")).toMatch(/10 bytes stand behind what the PDF signature covers/);
    const cut = verifyCertificate(signed.subarray(0, signed.length - 5)).finding;
    expect(cut.content).toBe("changed");
    expect(cut.sentences.join(" ")).toMatch(/added or taken away/);
  });

  it("R93: the signature of one file does not hold on another", () => {
    const other = Buffer.from(drawn);
    const [signature] = pdfSignatures(signed);
    const [, length = 0, again = 0] = signature?.byte_range ?? [];
    const moved = Buffer.concat([
      signed.subarray(0, 900),
      Buffer.from(other.subarray(900, 1000).toReversed()),
      signed.subarray(1000, length),
      signed.subarray(length, again),
      signed.subarray(again),
    ]);
    expect(pdfSignatures(moved)[0]).toMatchObject({ state: "broken" });
  });

  it("R111: the signed digest, the signature itself and the room behind it cannot be changed unnoticed", () => {
    const [signature] = pdfSignatures(signed);
    const [, length = 0, again = 0] = signature?.byte_range ?? [];
    const hex = signed.toString("latin1", length + 1, again - 1);
    const end = hex.replace(/0+$/, "").length;
    // The signature value stands last; the digest follows its name 1.2.840.113549.1.9.4 and four bytes of heads.
    const digest = hex.indexOf("2a864886f70d010904") + 18 + 8;
    for (const at of [end - 6, end - 200, digest + 10, end + 40, hex.length - 2]) {
      const spoilt = Buffer.from(signed);
      const i = length + 1 + at;
      spoilt[i] = spoilt[i] === 0x30 ? 0x31 : 0x30;
      expect([at, pdfSignatures(spoilt)[0]?.state]).toEqual([at, "broken"]);
    }
  });
});
