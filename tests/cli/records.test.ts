import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, it } from "vitest";
import { recordHead } from "../../src/app/hash-chain.ts";
import { shipped } from "../../src/app/package-root.ts";
import { makeKeyPair } from "../../src/app/sign-certificate.ts";
import { define as calibrate } from "../../src/cli/commands/calibrate.ts";
import { define as exporting } from "../../src/cli/commands/export.ts";
import { define as verify } from "../../src/cli/commands/verify.ts";
import { EXIT } from "../../src/cli/exit-codes.ts";
import { addActs, tamper } from "../app/records/small-store.ts";
import { runCommand } from "./in-process.ts";

/** A calibration from the command line, its records, and what verify says of them. R85, R94, R102. */

const folder = mkdtempSync(join(tmpdir(), "stillpoint-records-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const pair = makeKeyPair(undefined);
const reports = join(folder, "reports");
const store = join(reports, "records.sqlite");
const file = (end: string): string => join(reports, readdirSync(reports).find((name) => name.endsWith(end)) ?? "");

beforeAll(async () => {
  writeFileSync(join(folder, "key.pem"), pair.pem);
  const { code, talk } = await runCommand(calibrate, [
    ...[
      "--bench",
      shipped("bench-configs", "simulated-serial.yaml"),
      "--unit",
      shipped("bench-configs", "ip-3-15-psi.yaml"),
    ],
    ...[
      "--operator",
      "A. Technician",
      "--yes",
      "--clock",
      "virtual",
      "--output",
      reports,
      "--key",
      join(folder, "key.pem"),
    ],
  ]);
  expect(code, talk).toBe(EXIT.success);
}, 60_000);

it("the record is exported beside the certificate, and both name the head of the store", async () => {
  const head = recordHead(readFileSync(file(".record.jsonl"), "utf8"));
  expect(readFileSync(file(".xml"), "utf8")).toContain(head);
  const { code, out } = await runCommand(verify, [store, "--json"]);
  expect(code).toBe(EXIT.success);
  expect(JSON.parse(out)).toMatchObject({ format: "stillpoint-proof 1", runs: 1, findings: [] });
  const first = JSON.parse(readFileSync(file(".record.jsonl"), "utf8").split("\n")[0] ?? "") as {
    event: { ledger: { bench_id: string } };
  };
  expect(first.event.ledger.bench_id).toMatch(/^practice-bench-one-serial-line-[0-9a-f]{8}$/u);
});

it("store, record and export are whole, with the figures of the certificate digit by digit", async () => {
  const copy = join(folder, "copy");
  expect(await runCommand(exporting, ["--records", store, "--output", copy])).toMatchObject({ code: EXIT.success });
  for (const place of [store, file(".record.jsonl"), copy]) {
    for (const certificate of [file(".pdf"), file(".xml")]) {
      const { code, out } = await runCommand(verify, [place, "--certificate", certificate, "--key", pair.public_key]);
      expect(code, `${place} ${certificate} ${out}`).toBe(EXIT.success);
      expect(out).toContain("digit by digit");
    }
  }
  // A folder that is not empty is never written into.
  expect(await runCommand(exporting, ["--records", store, "--output", copy])).toMatchObject({ code: EXIT.wrongUse });
});

it("a figure of the certificate that does not follow from the readings is found", async () => {
  const bent = join(folder, "bent.xml");
  const xml = readFileSync(file(".xml"), "utf8");
  const value = /<si:valueXMLList>([\d.]+) /u.exec(xml)?.[1] ?? "";
  writeFileSync(bent, xml.replace(`<si:valueXMLList>${value} `, `<si:valueXMLList>${value}1 `));
  const { code, out } = await runCommand(verify, [store, "--certificate", bent]);
  expect(out).toContain("figures-differ: FIGURES DIFFER");
  expect(code).toBe(EXIT.recordDamaged);
});

it("a key that is not the laboratory's and a certificate of another record have names of their own", async () => {
  const stranger = await runCommand(verify, [store, "--key", makeKeyPair(undefined).public_key]);
  expect(stranger.out).toContain("unknown-key: UNKNOWN KEY");
  expect(stranger.code).toBe(EXIT.failed);
  const other = join(folder, "other.xml");
  const head = recordHead(readFileSync(file(".record.jsonl"), "utf8"));
  writeFileSync(other, readFileSync(file(".xml"), "utf8").replace(head, "0".repeat(64)));
  const replaced = await runCommand(verify, [store, "--certificate", other]);
  expect(replaced.out).toContain("replaced: REPLACED");
  expect(replaced.code).toBe(EXIT.recordDamaged);
});

it("a value changed in the store is found, and no run is begun in it", async () => {
  const records = join(folder, "changed.sqlite");
  writeFileSync(records, readFileSync(store));
  tamper(records, `update events set body = replace(body, '"n_stale":0', '"n_stale":1')`);
  const { code, out } = await runCommand(verify, [records]);
  expect(out).toMatch(/changed: Event \d+ of run .* was changed\./u);
  expect(code).toBe(EXIT.recordDamaged);
  const output = join(folder, "elsewhere");
  const begun = await runCommand(calibrate, [
    ...[
      "--bench",
      shipped("bench-configs", "simulated-serial.yaml"),
      "--unit",
      shipped("bench-configs", "ip-3-15-psi.yaml"),
    ],
    ...["--operator", "A. Technician", "--yes", "--clock", "virtual", "--output", output, "--records", records],
  ]);
  expect(begun.code).toBe(EXIT.recordDamaged);
  expect(begun.talk).toContain("are damaged");
  expect(existsSync(output)).toBe(false);
}, 60_000);

it("a certificate that is right but was replaced says so", async () => {
  const records = join(folder, "replaced.sqlite");
  writeFileSync(records, readFileSync(store));
  const number = /<dcc:uniqueIdentifier>([^<]+)</u.exec(readFileSync(file(".xml"), "utf8"))?.[1] ?? "";
  addActs(records, "run-a", [
    { act: "drafted", number: "TK-2", run_id: "run-a" },
    { act: "issued", number: "TK-2", drafted: 0, replaces: number },
  ]);
  const { code, out } = await runCommand(verify, [records, "--certificate", file(".xml")]);
  expect(out).toContain(`${number} is right, but was REPLACED BY TK-2`);
  expect(code).toBe(EXIT.outOfTolerance);
});
