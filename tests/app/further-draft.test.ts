import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { folderStore } from "../../src/app/certificate-store.ts";
import { draftCertificate } from "../../src/app/draft-certificate.ts";
import { examinationFor } from "../../src/app/examination-job.ts";
import { sha256 } from "../../src/app/hash-chain.ts";
import { approveCertificate, issueCertificate, issuedContent } from "../../src/app/issue-certificate.ts";
import { makeKeyPair, readSigningKey } from "../../src/app/sign-certificate.ts";
import { runVirtualJob } from "../../src/app/virtual-job.ts";
import { asIfReal, practiceRecord } from "./certificate-job.ts";
import { must, practiceJob } from "./practice-job.ts";

const DAY = Date.UTC(2026, 10, 26, 8);
const place = mkdtempSync(join(tmpdir(), "further-"));
afterAll(() => rmSync(place, { recursive: true, force: true }));

/** The record of a leak test, as a real bench would have written it. */
const leakRecord = async (): Promise<string> => {
  const job = practiceJob();
  const lines: string[] = [];
  must(
    await runVirtualJob(
      { ...job, examine: must(examinationFor(job, "leak")) },
      {
        run_id: "leak-1",
        utc_zero_ms: DAY - 86_400_000,
        keep: (line) => {
          lines.push(line);
          return null;
        },
      },
    ),
  );
  return asIfReal(`${lines.join("\n")}\n`);
};

describe("a test on an issued certificate", () => {
  it("R46, R48: with opinions on it, is kept with the draft, released by whom the laboratory allows, shown on what is issued, and missed when it is lost", async () => {
    const folder = join(place, "store");
    const store = folderStore(folder);
    const [record, leak] = [asIfReal(await practiceRecord()), await leakRecord()];
    const beside = { further: [leak], opinions: true };
    must(await draftCertificate(store, { record, number: "F-1", language: "en", paper: "A4", now_ms: DAY, ...beside }));
    expect(store.ledger().ok && JSON.stringify(must(store.ledger()))).toContain(sha256(leak));
    const by = (name: string, role: string) => ({ name, role });
    must(await approveCertificate(store, "reviewed", "F-1", by("B. Reviewer", "technician"), DAY + 1));
    must(await approveCertificate(store, "authorised", "F-1", by("C. Head", "head of the workshop"), DAY + 2));
    const file = join(place, "laboratory.key");
    writeFileSync(file, makeKeyPair("secret").pem);
    must(await issueCertificate(store, "F-1", { now_ms: DAY + 3, key: must(readSigningKey(file, "secret")) }));

    const { model } = must(await issuedContent(store, "F-1"));
    const said = JSON.stringify(model.sections.find((s) => s.id === "further-tests"));
    expect(said).toMatch(/loss behind the closed valve/u);
    expect(said).toMatch(/Opinions and interpretations/u);

    const kept = readdirSync(folder, { recursive: true, encoding: "utf8" }).find((name) =>
      name.includes(sha256(leak).slice(0, 24)),
    );
    if (kept === undefined) throw new Error("the record of the test was not kept");
    rmSync(join(folder, kept));
    expect((await issuedContent(store, "F-1")).ok).toBe(false);
  }, 60_000);
});
