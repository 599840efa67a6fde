import { appendFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { EMPTY_LEDGER, type LedgerAct, ledgerLine, readLedger } from "../../../src/app/certificate-ledger.ts";
import { mirrorCertificates } from "../../../src/app/records/mirror-certificates.ts";
import { findRuns } from "../../../src/app/records/queries/find-runs.ts";
import { must } from "../practice-job.ts";
import { madeUpStore } from "./shared-shop.ts";

const folder = mkdtempSync(join(tmpdir(), "stillpoint-mirror-"));
const place = join(folder, "certificates");
const ledger = join(place, "ledger.jsonl");
mkdirSync(place);
writeFileSync(ledger, "");
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const DIGEST = "0".repeat(64);
const by = { name: "B. Head", role: "head of the workshop" };
const add = (act: LedgerAct): void => {
  const text = readFileSync(ledger, "utf8");
  const known = text === "" ? EMPTY_LEDGER : must(readLedger(text));
  appendFileSync(ledger, `${ledgerLine(known, act, "2026-11-25T10:00:00.000Z")}\n`);
};
const drafted = (number: string, run_id: string): LedgerAct => ({
  act: "drafted",
  number,
  run_id,
  record_sha256: DIGEST,
  record_head: DIGEST,
  results_sha256: DIGEST,
  language: "en",
  paper: "A4",
  identity: {},
});
const issued = (number: string, draft: number): LedgerAct => ({
  act: "issued",
  number,
  drafted: draft,
  day: "2026-11-25",
  software_version: "0.1.0",
  pdf_sha256: DIGEST,
  xml_sha256: DIGEST,
  record_sha256: DIGEST,
  references: ["G-1"],
});

describe("acts on certificates in the records", () => {
  it("carry their run, continue each other as the ledger does, and are taken once", async () => {
    const { db, runs } = await madeUpStore(join(folder, "records.sqlite"), [1, 2]);
    const [one = "", two = ""] = runs.map((r) => r.run.run_id);
    expect(await mirrorCertificates(db, place)).toEqual({ ok: true, value: 0 });
    add(drafted("K-1", one));
    add({ act: "reviewed", number: "K-1", by, drafted: 0 });
    expect(await mirrorCertificates(db, place)).toEqual({ ok: true, value: 2 });
    expect(await mirrorCertificates(db, place)).toEqual({ ok: true, value: 0 });
    add(drafted("K-2", two));
    add({ act: "authorised", number: "K-1", by, drafted: 0 });
    add(issued("K-1", 0));
    add({ act: "withdrawn", number: "K-1", by, reason: "the reference was bad", told: ["Cellar"] });
    expect(await mirrorCertificates(db, place)).toEqual({ ok: true, value: 4 });
    const rows = await db.selectFrom("certificate_acts").selectAll().orderBy("seq").execute();
    expect(rows.map((r) => [r.seq, r.number, r.act, r.run_id])).toEqual([
      [0, "K-1", "drafted", one],
      [1, "K-1", "reviewed", one],
      [2, "K-2", "drafted", two],
      [3, "K-1", "authorised", one],
      [4, "K-1", "issued", one],
      [5, "K-1", "withdrawn", one],
    ]);
    const { heads } = must(readLedger(readFileSync(ledger, "utf8")));
    expect(rows.map((r) => r.hash)).toEqual(heads);
    expect(rows.map((r) => `${r.body}\n`).join("")).toBe(readFileSync(ledger, "utf8"));
    const found = await findRuns(db, { reference: "G-1" });
    expect(found.runs.flatMap((r) => r.certificates.map((c) => `${c.number} ${c.state}`))).toEqual([
      "K-2 draft",
      "K-1 withdrawn",
    ]);
    await db.destroy();
  });

  it("are not taken from a ledger that is another than before, or damaged", async () => {
    const { db } = await madeUpStore(join(folder, "other.sqlite"), [1]);
    must(await mirrorCertificates(db, place));
    const text = readFileSync(ledger, "utf8");
    writeFileSync(ledger, text.split("\n").slice(0, 2).join("\n").concat("\n"));
    expect(await mirrorCertificates(db, place)).toMatchObject({
      ok: false,
      fault: { code: "record-damaged", message: expect.stringContaining("is not the one that the records have known") },
    });
    writeFileSync(ledger, text.replace("B. Head", "C. Head"));
    expect(await mirrorCertificates(db, place)).toMatchObject({ ok: false, fault: { code: "record-damaged" } });
    await db.destroy();
  });
});
