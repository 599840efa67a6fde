import { appendFileSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { attachedFiles } from "../../src/app/certificate-files.ts";
import { readLedger } from "../../src/app/certificate-ledger.ts";
import { chainOf, livesOf, restingOn } from "../../src/app/certificate-life.ts";
import { type CertificateStore, folderStore } from "../../src/app/certificate-store.ts";
import { amendCertificate, draftCertificate } from "../../src/app/draft-certificate.ts";
import {
  approveCertificate,
  issueCertificate,
  issuedBytes,
  withdrawCertificate,
} from "../../src/app/issue-certificate.ts";
import { makeKeyPair, readSigningKey, type SigningKey } from "../../src/app/sign-certificate.ts";
import { verifyCertificate } from "../../src/app/verify-certificate.ts";
import { checkDcc } from "../../src/certificate/dcc/check-dcc.ts";
import { type Fault, faultText } from "../../src/vocabulary/fault.ts";
import type { Result } from "../../src/vocabulary/result.ts";
import { describeWith, run } from "../certificate/witness.ts";
import { asIfReal, practiceRecord } from "./certificate-job.ts";
import { must } from "./practice-job.ts";

const DAY = Date.UTC(2026, 10, 26, 8);
const REVIEWER = { name: "B. Reviewer", role: "technician" };
const HEAD = { name: "C. Head", role: "head of the workshop" };

const place = mkdtempSync(join(tmpdir(), "certificates-"));
afterAll(() => rmSync(place, { recursive: true, force: true }));
const store = folderStore(join(place, "store"));

let simulated: string;
let real: string;
let key: SigningKey;

const why = <T>(result: Result<T, Fault>): string => (result.ok ? "" : faultText(result.fault));
const draftOf = (record: string, number: string, into: CertificateStore = store) =>
  draftCertificate(into, { record, number, language: "en", paper: "A4", now_ms: DAY });
const bytesOf = (number: string, kind: "pdf" | "xml" = "pdf"): Uint8Array => must(issuedBytes(store, number, kind));
const approveAndIssue = async (number: string, hour: number): Promise<void> => {
  must(await approveCertificate(store, "reviewed", number, REVIEWER, DAY + hour * 3.6e6));
  must(await approveCertificate(store, "authorised", number, HEAD, DAY + (hour + 1) * 3.6e6));
  must(await issueCertificate(store, number, { now_ms: DAY + (hour + 2) * 3.6e6, key }));
};

beforeAll(async () => {
  simulated = await practiceRecord();
  real = asIfReal(simulated);
  const file = join(place, "laboratory.key");
  writeFileSync(file, makeKeyPair("secret").pem);
  key = must(readSigningKey(file, "secret"));
});

describe("the life of a certificate", () => {
  it("R21: what was simulated can never be issued, also not when a line of its record says otherwise", async () => {
    expect(why(await draftOf(simulated, "S-1"))).toMatch(/SIMULATED: it gives a specimen/);
    expect(why(await draftOf(simulated.replaceAll('"simulated":true', '"simulated":false'), "S-1"))).toMatch(
      /SIMULATED/,
    );
    expect(must(store.ledger()).entries).toEqual([]);
  });

  it("R91: steps come in their order, each by whom the laboratory allows it, and not twice by one person", async () => {
    must(await draftOf(real, "TK-1"));
    const step = (what: "reviewed" | "authorised", by: { name: string; role: string }) =>
      approveCertificate(store, what, "TK-1", by, DAY);
    expect(why(await issueCertificate(store, "TK-1", { now_ms: DAY }))).toMatch(/is a draft; only an authorised one/);
    expect(why(await step("authorised", HEAD))).toMatch(/Review it first/);
    expect(why(await step("reviewed", { name: "A. Technician", role: "" }))).toMatch(/A\. Technician is not listed/);
    expect(why(await step("reviewed", { name: "D. Stranger", role: "" }))).toMatch(/not listed/);
    must(await step("reviewed", HEAD));
    expect(why(await step("authorised", HEAD))).toMatch(/C\. Head has done another act .* "one-act"/);
    expect(why(await step("reviewed", REVIEWER))).toMatch(/is reviewed/);
    // A new draft makes the review void; now two people do it.
    must(await draftOf(real, "TK-1"));
    await approveAndIssue("TK-1", 0);
    expect(why(await issueCertificate(store, "TK-1", { now_ms: DAY }))).toMatch(/is issued/);
    expect(why(await draftOf(real, "TK-1"))).toMatch(/issued already/);
  });

  it("R91: one person may do everything only where the laboratory's file says so", async () => {
    const lines = real.split("\n");
    const first = JSON.parse(lines[0] ?? "") as { event: { files: { role: string; text: string; sha256: string }[] } };
    const { createHash } = await import("node:crypto");
    for (const file of first.event.files.filter((f) => f.role === "laboratory")) {
      file.text = file.text
        .replace("one_person: one-act", "one_person: everything")
        .replace(/^people:[\s\S]*?(?=^\w)/m, "");
      file.sha256 = createHash("sha256").update(file.text).digest("hex");
    }
    const alone = folderStore(join(place, "alone"));
    const record = [JSON.stringify(first), ...lines.slice(1)].join("\n");
    const me = { name: "A. Technician", role: "owner" };
    must(await draftOf(record, "ME-1", alone));
    must(await approveCertificate(alone, "reviewed", "ME-1", me, DAY));
    expect(must(await approveCertificate(alone, "authorised", "ME-1", me, DAY)).state).toBe("authorised");
  });

  it("R24, R55: is kept as issued, and taken out again byte for byte", () => {
    const kept = bytesOf("TK-1");
    expect(Buffer.from(kept).equals(readFileSync(join(place, "store/files/TK-1.pdf")))).toBe(true);
    expect(Buffer.from(bytesOf("TK-1")).equals(Buffer.from(kept))).toBe(true);
    expect(must(store.ledger()).entries.filter((e) => e.entry.act === "issued")).toHaveLength(1);
    const dcc = Buffer.from(bytesOf("TK-1", "xml"));
    expect(Buffer.from(attachedFiles(kept).get("TK-1.xml") ?? []).equals(dcc)).toBe(true);
    expect(checkDcc(dcc.toString("utf8"))).toEqual([]);
  });

  it("R24: a file that is there is never written over with other bytes", async () => {
    expect(why(await store.keep("TK-1.pdf", "another"))).toMatch(/never written over/);
    expect(Buffer.from(bytesOf("TK-1")).subarray(0, 5).toString()).toBe("%PDF-");
  });

  it("R49, R50, R52: an amendment is a further document with its reason, its changes and the old one's hash", async () => {
    const before = Buffer.from(bytesOf("TK-1"));
    const wish = { number: "TK-1", as: "TK-1-A1", reason: "the customer has another name", now_ms: DAY + 5 * 3.6e6 };
    expect(why(await amendCertificate(store, { ...wish, change: {} }))).toMatch(/Nothing would change/);
    expect(why(await amendCertificate(store, { ...wish, as: "TK-1", change: { customer: "X" } }))).toMatch(
      /number of its own/,
    );
    must(await amendCertificate(store, { ...wish, change: { customer: "Four Kettles Brewery" } }));
    await approveAndIssue("TK-1-A1", 6);
    const text = Buffer.from(bytesOf("TK-1-A1", "xml")).toString("utf8");
    expect(text).toContain("<dcc:typeOfChange>amended</dcc:typeOfChange>");
    expect(text).toMatch(/"Three Kettles Brewery" is now "Four Kettles Brewery"/);
    expect(Buffer.from(bytesOf("TK-1")).equals(before)).toBe(true);
  });

  it("R51: an amendment passes the same checks, and cannot be issued past them", async () => {
    must(
      await amendCertificate(store, {
        number: "TK-1-A1",
        as: "TK-1-A2",
        reason: "received on another day",
        change: { received: "2027-01-01" },
        now_ms: DAY,
      }),
    );
    must(await approveCertificate(store, "reviewed", "TK-1-A2", REVIEWER, DAY));
    must(await approveCertificate(store, "authorised", "TK-1-A2", HEAD, DAY));
    expect(why(await issueCertificate(store, "TK-1-A2", { now_ms: DAY }))).toMatch(/dates in the order/);
  });

  it("R52, R53: new results replace; the chain is walked both ways, and the old one says what took its place", async () => {
    const again = real.replace("20261125-0900-HC15", "20261125-1300-HC15");
    const wish = { number: "TK-1-A1", as: "TK-2", reason: "calibrated again", change: {}, record: again, now_ms: DAY };
    must(await amendCertificate(store, wish));
    await approveAndIssue("TK-2", 10);
    expect(Buffer.from(bytesOf("TK-2", "xml")).toString()).toContain("<dcc:typeOfChange>substituted<");
    const lives = livesOf(must(store.ledger()));
    for (const number of ["TK-1", "TK-1-A1", "TK-2"])
      expect(chainOf(lives, number)).toEqual(["TK-1", "TK-1-A1", "TK-2"]);
    expect(why(await amendCertificate(store, { ...wish, as: "TK-3" }))).toMatch(/was replaced by TK-2/);
    const { finding } = verifyCertificate(bytesOf("TK-1"), { store });
    expect(finding).toMatchObject({ content: "whole", standing: "replaced", replaced_by: "TK-1-A1" });
    expect(finding.sentences.join("\n")).toMatch(/REPLACED BY TK-1-A1; the one that stands now is TK-2/);
  });

  it("R54: withdrawing is another act, with who was told; the file stays", async () => {
    const act = { by: HEAD, reason: "the gauge was found faulty", told: ["Three Kettles Brewery"] };
    expect(why(await withdrawCertificate(store, "TK-1-A2", act, DAY))).toMatch(/not issued/);
    must(await withdrawCertificate(store, "TK-2", act, DAY + 14 * 3.6e6));
    expect(why(await withdrawCertificate(store, "TK-2", act, DAY))).toMatch(/withdrawn already/);
    const { finding } = verifyCertificate(bytesOf("TK-2"), { store });
    expect(finding).toMatchObject({ content: "whole", standing: "withdrawn" });
    const entry = must(store.ledger()).entries.at(-1)?.entry;
    expect(entry).toMatchObject({ act: "withdrawn", told: ["Three Kettles Brewery"] });
  });

  it("R68: a reference that is found faulty leads to every certificate that rests on it", () => {
    const lives = livesOf(must(store.ledger()));
    expect(restingOn(lives, "SIM-GAUGE-1")).toEqual(["TK-1", "TK-1-A1", "TK-2"]);
    expect(restingOn(lives, "SIM-GAUGE-1", "2026-11-27")).toEqual([]);
    expect(restingOn(lives, "ANOTHER-1")).toEqual([]);
  });
});

describe("whoever holds a certificate in hand", () => {
  it("R97, R103: is told by whom it was signed, and whether that key is known", () => {
    const { finding } = verifyCertificate(bytesOf("TK-1", "xml"), {
      signature: readFileSync(join(place, "store/files/TK-1.signature.json"), "utf8"),
      keys: [key.public_key],
    });
    expect(finding).toMatchObject({
      kind: "digital-certificate",
      number: "TK-1",
      content: "whole",
      standing: "unknown",
      signed: { authorised_by: "C. Head", key: "known" },
    });
    expect(finding.sentences.join("\n")).toMatch(/cannot be told without the laboratory's ledger/);
    const stranger = verifyCertificate(bytesOf("TK-1"));
    expect(stranger.finding).toMatchObject({ kind: "pdf", content: "unproved", signed: { key: "unknown" } });
  });

  it("R93: a signature of one certificate is not taken for another, and a changed byte is noticed", () => {
    const signature = readFileSync(join(place, "store/files/TK-1.signature.json"), "utf8");
    const keys = [key.public_key];
    const other = verifyCertificate(bytesOf("TK-2", "xml"), { signature, keys });
    expect(other.finding.content).toBe("changed");
    expect(other.finding.sentences[0]).toMatch(/another data file \(number TK-1\)/);
    const xml = Buffer.from(bytesOf("TK-1", "xml")).toString("utf8").replace("<dcc:model>HC-15", "<dcc:model>HC-16");
    expect(verifyCertificate(Buffer.from(xml), { signature, keys }).finding.content).toBe("changed");
    const forged = signature.replace("C. Head", "D. Head");
    expect(verifyCertificate(bytesOf("TK-1", "xml"), { signature: forged, keys }).finding.content).toBe("changed");
  });

  it("R104: with the ledger, a changed page, an unknown number, a draft and other files are told apart", () => {
    const pdf = Buffer.from(bytesOf("TK-1"));
    pdf[pdf.length - 40] = (pdf.at(-40) ?? 0) ^ 1;
    expect(verifyCertificate(pdf, { store }).finding.sentences[0]).toMatch(/CHANGED: certificate TK-1 was issued/);
    expect(verifyCertificate(pdf, { store }).finding.sentences[0]).toMatch(
      new RegExp(`the first that differs is byte ${pdf.length - 40}\\.$`),
    );
    const grown = Buffer.concat([bytesOf("TK-1"), Buffer.from("%")]);
    expect(verifyCertificate(grown, { store }).finding.sentences[0]).toMatch(
      /issued bytes are there, and it is 1 byte longer/,
    );
    const cut = bytesOf("TK-1").subarray(0, -3);
    expect(verifyCertificate(cut, { store }).finding.sentences[0]).toMatch(
      /ends after byte \d+, and it is 3 bytes shorter/,
    );
    const elsewhere = folderStore(join(place, "empty"));
    expect(verifyCertificate(bytesOf("TK-1"), { store: elsewhere }).finding.sentences[0]).toMatch(
      /has issued no certificate TK-1/,
    );
    expect(verifyCertificate(Buffer.from("hello")).finding).toMatchObject({
      kind: "other",
      number: null,
      content: "unproved",
    });
  });

  it("R102: a ledger whose end was cut off is found by what was signed", () => {
    const cut = join(place, "cut");
    const whole = readFileSync(join(place, "store/ledger.jsonl"), "utf8");
    const target = folderStore(cut);
    expect(must(target.ledger()).entries).toEqual([]);
    const lines = whole.split("\n");
    const first = lines.findIndex((l) => l.includes('"act":"issued"'));
    rmSync(cut, { recursive: true, force: true });
    mkdtempSync(`${cut}-`);
    const kept = readdirSync(place).find((n) => n.startsWith("cut-")) ?? "";
    writeFileSync(join(place, kept, "ledger.jsonl"), `${lines.slice(0, first + 1).join("\n")}\n`);
    const { finding } = verifyCertificate(bytesOf("TK-2"), { store: folderStore(join(place, kept)) });
    expect(finding.sentences.join("\n")).toMatch(/issued no certificate TK-2[\s\S]*cut off or built anew/);
  });
});

describe("the ledger", () => {
  const text = (): string => readFileSync(join(place, "store/ledger.jsonl"), "utf8");

  it("R101, R104: tells apart a line that was changed, lost, doubled or moved, by its number", () => {
    const lines = text().trimEnd().split("\n");
    const complaint = (changed: readonly string[]): string => why(readLedger(`${changed.join("\n")}\n`));
    expect(complaint(lines)).toBe("");
    const spoilt = lines.map((l, i) => (i === 2 ? l.replace("TK-1", "TK-9") : l));
    expect(complaint(spoilt)).toMatch(/Line 4 .* one of them was changed/);
    expect(complaint(lines.filter((_, i) => i !== 3))).toMatch(/Line 4 .* act 3 was lost or moved/);
    expect(complaint([...lines.slice(0, 3), lines[2] ?? "", ...lines.slice(3)])).toMatch(/Line 4 .* doubled or moved/);
    expect(complaint([lines[1] ?? "", lines[0] ?? "", ...lines.slice(2)])).toMatch(/Line 1 /);
    expect(why(readLedger(text().slice(0, -5)))).toMatch(/breaks off/);
  });

  it("R96: one flipped bit anywhere in it is noticed", () => {
    const whole = Buffer.from(text());
    const lastLine = whole.lastIndexOf(0x0a, whole.length - 2);
    for (let i = 0; i < lastLine; i += 211) {
      const spoilt = Buffer.from(whole);
      spoilt[i] = (spoilt[i] ?? 0) ^ 1;
      expect(readLedger(spoilt.toString("utf8")).ok, String(i)).toBe(false);
    }
  });

  it("R87: a store whose ledger was tampered with, or whose file was changed, gives nothing out and takes nothing in", async () => {
    const copy = folderStore(join(place, "copy"));
    must(await draftOf(real, "TK-7", copy));
    appendFileSync(join(place, "copy/ledger.jsonl"), "{}\n");
    expect(why(await approveCertificate(copy, "reviewed", "TK-7", REVIEWER, DAY))).toMatch(
      /Line 2 of the ledger was changed/,
    );
    const [file = ""] = readdirSync(join(place, "copy/files"));
    appendFileSync(join(place, "copy/files", file), "more");
    expect(why(copy.fetch(file, "0".repeat(64)))).toMatch(/is not what was kept/);
  });

  it("R87: two programs do not write at once", async () => {
    const busy = folderStore(join(place, "busy"));
    must(await draftOf(real, "TK-8", busy));
    writeFileSync(join(place, "busy/ledger.lock"), "");
    expect(why(await draftOf(real, "TK-8", busy))).toMatch(/another program writes/);
  });
});

describe("what cannot be issued", () => {
  it("a number that is no file name, a wrong password and a key of another kind are refused in one sentence", async () => {
    expect(why(await draftOf(real, "../TK-1"))).toMatch(/cannot be a certificate number/);
    const file = join(place, "laboratory.key");
    expect(why(readSigningKey(file, "wrong"))).toMatch(/its password is another/);
    expect(why(readSigningKey(join(place, "nowhere.key"), undefined))).toMatch(/could not be read/);
  });

  it("a certificate that lacks something stays where it is, and leaves no file behind", async () => {
    const poor = folderStore(join(place, "poor"));
    const nameless = asIfReal(simulated).replaceAll(/\\n *customer_contact: [^\\]*/g, "");
    const first = JSON.parse(nameless.split("\n")[0] ?? "") as { event: { files: { text: string; sha256: string }[] } };
    const { createHash } = await import("node:crypto");
    for (const f of first.event.files) f.sha256 = createHash("sha256").update(f.text).digest("hex");
    const record = [JSON.stringify(first), ...nameless.split("\n").slice(1)].join("\n");
    const drafted = must(await draftOf(record, "P-1", poor));
    expect(drafted.missing).toContain("the customer's address or contact");
    must(await approveCertificate(poor, "reviewed", "P-1", REVIEWER, DAY));
    must(await approveCertificate(poor, "authorised", "P-1", HEAD, DAY));
    expect(why(await issueCertificate(poor, "P-1", { now_ms: DAY }))).toMatch(/Still missing: the customer's address/);
    expect(readdirSync(join(place, "poor/files")).filter((n) => n.startsWith("P-1"))).toEqual([]);
  });
});

describeWith(["pdftotext"], "the issued document as others read it", () => {
  it("R92: names and moments of measuring, reviewing and authorising stand on it in words", () => {
    const text = run("pdftotext", ["-raw", "{}", "-"], bytesOf("TK-1-A1")).replaceAll(/\s+/gu, " ");
    expect(text).toMatch(/Measured by, on 25 November 2026, \d\d:\d\d UTC/);
    expect(text).toMatch(/Reviewed by, on 26 November 2026, 14:00 UTC/);
    expect(text).toMatch(/Authorised by, on 26 November 2026, 15:00 UTC/);
    expect(text).toContain("Amendment to certificate no. TK-1");
    expect(text).toMatch(/Four Kettles Brewery/);
    expect(text).not.toMatch(/DRAFT|not released|not a certificate/);
  });
});
