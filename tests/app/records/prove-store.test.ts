import { execFileSync, spawnSync } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { recordHead } from "../../../src/app/hash-chain.ts";
import { exportRecords } from "../../../src/app/records/export-records.ts";
import { openRecords } from "../../../src/app/records/open-records.ts";
import type { Proof } from "../../../src/app/records/proof.ts";
import { proveExport, proveRecord } from "../../../src/app/records/prove-export.ts";
import { proveStore } from "../../../src/app/records/prove-store.ts";
import type { SigningKey } from "../../../src/app/sign-certificate.ts";
import { must } from "../practice-job.ts";
import { goldenBodies, newKey, smallStore, smallSummary, tamper } from "./small-store.ts";

/** R104: what was done to records is told apart. */

const folder = mkdtempSync(join(tmpdir(), "stillpoint-prove-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const original = join(folder, "original.sqlite");
let key: SigningKey;
let copies = 0;

beforeAll(async () => {
  key = newKey(folder);
  await smallStore(original, ["run-a", "run-b", "run-c"], key);
});

/** A copy to be damaged. */
const copy = (): string => {
  copies += 1;
  const path = join(folder, `copy-${copies}.sqlite`);
  cpSync(original, path);
  return path;
};
const kinds = ({ findings }: Proof): readonly string[] => findings.map((f) => f.kind);
const prove = (path: string): Promise<Proof> => proveStore(path, { keys: [key.public_key] });

describe("a store", () => {
  it("is whole as it was made", async () => {
    const proof = await prove(original);
    expect(proof.findings).toEqual([]);
    expect(proof).toMatchObject({ runs: 3, events: goldenBodies("x").length * 3 });
    expect(proof.notes.join(" ")).toContain(", signed");
  });

  it("changed: one value of one event", async () => {
    const path = copy();
    tamper(path, `update events set body = replace(body, '60.02', '60.03') where run_id = 'run-b'`);
    const proof = await prove(path);
    expect(kinds(proof)).toContain("changed");
    expect(proof.findings[0]?.text).toMatch(/^Event \d+ of run run-b was changed\.$/u);
  });

  it("changed: a summary, a reference, an entry of the bench's chain, a signature", async () => {
    for (const statement of [
      "update runs set verdict = 'fail' where run_id = 'run-a'",
      "update references_used set due = '2099-01-01' where run_id = 'run-a'",
      "update bench_ledger set body = replace(body, 'cellar', 'attic') where seq = 2",
      "update signatures set utc = '2031-01-01T00:00:00.000Z'",
    ]) {
      const path = copy();
      tamper(path, statement);
      expect(kinds(await prove(path)), statement).toContain("changed");
    }
  });

  it("changed: a trigger that keeps records from being changed is gone", async () => {
    const path = copy();
    tamper(path, "select 1");
    const file = readFileSync(path);
    expect(kinds(await prove(path))).toEqual([]);
    expect(file.length).toBeGreaterThan(0);
    tamper(path, "create trigger extra before insert on runs begin select 1; end");
    expect((await prove(path)).findings[0]?.text).toContain("trigger");
  });

  it("cut: the beginning, the middle, the end of a run; a whole run; the end of the bench's chain", async () => {
    const cases: readonly (readonly [string, RegExp])[] = [
      ["delete from events where run_id = 'run-b' and seq < 3", /CUT at its beginning: events 1, 2 of run run-b/u],
      ["delete from events where run_id = 'run-b' and seq = 7", /CUT at its middle: event 7 of run run-b/u],
      ["delete from events where run_id = 'run-b' and seq > 20", /CUT at its end: events 21 to \d+ of run run-b/u],
      ["delete from events where run_id = 'run-b'", /CUT: run run-b is gone as a whole/u],
    ];
    for (const [statement, text] of cases) {
      const path = copy();
      tamper(path, statement);
      const proof = await prove(path);
      expect(kinds(proof), statement).toContain("cut");
      expect(proof.findings.map((f) => f.text).join("\n")).toMatch(text);
    }
    const path = copy();
    tamper(path, "delete from bench_ledger where seq > 4");
    const proof = await prove(path);
    expect(kinds(proof)).toContain("cut");
    expect(proof.findings.map((f) => f.text).join("\n")).toMatch(
      /chain of bench .* does not know run run-c|run run-b/u,
    );
  });

  it("reordered: two events have changed places", async () => {
    const path = copy();
    tamper(
      path,
      "update events set seq = 1000 where run_id = 'run-b' and seq = 5",
      "update events set seq = 5 where run_id = 'run-b' and seq = 6",
      "update events set seq = 6 where run_id = 'run-b' and seq = 1000",
    );
    const proof = await prove(path);
    expect(kinds(proof)).toEqual(["reordered"]);
    expect(proof.findings[0]?.text).toContain("Event 5 of run run-b");
  });

  it("duplicated: an event stands there twice", async () => {
    const path = copy();
    tamper(
      path,
      "insert into events select run_id, (select max(seq) + 1 from events where run_id = 'run-b'), body, hash from events where run_id = 'run-b' and seq = 9",
    );
    const proof = await prove(path);
    expect(kinds(proof)).toEqual(["duplicated"]);
    expect(proof.findings[0]?.text).toBe("event 9 of run run-b stands there twice.");
  });

  it("unknown-key: signed, but with a key that the reader does not know", async () => {
    const path = join(folder, "stranger.sqlite");
    const stranger = newKey(folder, "stranger");
    await smallStore(path, ["run-a"], stranger);
    const proof = await prove(path);
    expect(new Set(kinds(proof))).toEqual(new Set(["unknown-key"]));
    expect(proof.findings[0]?.text).toContain(stranger.public_key);
    // Without a key of one's own it is whole, with the advice to ask.
    const trusting = await proveStore(path);
    expect(trusting.findings).toEqual([]);
    expect(trusting.notes.join(" ")).toContain("You named no key");
  });

  it("replaced: a run built anew, whole in itself", async () => {
    // Everything anew with the knowledge of how it is made, but without the laboratory's key.
    const forged = join(folder, "forged.sqlite");
    await smallStore(forged, ["run-a", "run-b", "run-c"]);
    expect((await proveStore(forged)).findings).toEqual([]);
    const heads = [{ run_id: "run-b", head: recordHead("other\n"), by: "certificate TK-31-0117" }];
    const proof = await proveStore(forged, { heads });
    expect(kinds(proof)).toEqual(["replaced"]);
    expect(proof.findings[0]?.text).toContain("certificate TK-31-0117 names another head");
    // The signatures of the true store, put beside the forged events.
    const path = copy();
    tamper(
      path,
      `attach '${forged}' as forged`,
      "delete from events",
      "insert into events select * from forged.events",
      "delete from bench_ledger",
      "insert into bench_ledger select * from forged.bench_ledger",
      "delete from runs",
      "insert into runs select * from forged.runs",
    );
    expect(kinds(await prove(path))).toContain("replaced");
  });

  it("unreadable: a page that is no page any more, and a file that is no database", async () => {
    const path = copy();
    const bytes = readFileSync(path);
    bytes.fill(0xa5, 4096 * 3, 4096 * 4);
    writeFileSync(path, bytes);
    expect(kinds(await prove(path))).toContain("unreadable");
    writeFileSync(path, "It was a database once.".repeat(400));
    expect(kinds(await prove(path))).toEqual(["unreadable"]);
  });

  it("is looked at before a run: a damaged one is refused, and nothing is written into it", async () => {
    const path = copy();
    tamper(path, "update events set body = replace(body, '60.02', '60.03') where run_id = 'run-c'");
    const before = readFileSync(path);
    const opened = await openRecords(path, { bench: "Practice bench" });
    expect(opened).toMatchObject({ ok: false, fault: { code: "record-damaged" } });
    expect(opened.ok ? "" : opened.fault.message).toContain("an event of run run-c is not what was written");
    expect(readFileSync(path).equals(before)).toBe(true);
  });
});

describe("an export", () => {
  const exported = async (name: string, runs?: readonly string[]): Promise<string> => {
    const place = join(folder, name);
    must(await exportRecords(original, place, { runs }));
    return place;
  };
  const edit = (path: string, change: (text: string) => string): void =>
    writeFileSync(path, change(readFileSync(path, "utf8")));
  const verifier = (place: string, ...keys: readonly string[]) =>
    spawnSync(process.execPath, [join(place, "verify.mjs"), place, ...keys], { encoding: "utf8" });

  it("is proved by this program and, without it, by the checker that lies in it", async () => {
    const place = await exported("whole");
    expect(proveExport(place, { keys: [key.public_key] }).findings).toEqual([]);
    const checked = verifier(place, key.public_key);
    expect(checked.stdout).toContain("3 runs");
    expect(checked.stdout).toContain("WHOLE");
    expect(checked.status).toBe(0);
    // From its own folder, with no argument.
    expect(execFileSync(process.execPath, ["verify.mjs"], { cwd: place, encoding: "utf8" })).toContain("WHOLE");
    const csv = readFileSync(join(place, "csv", "run-a.samples.csv"), "utf8").split("\r\n");
    expect(csv[0]).toBe("run_id,seq,what,ordinal,direction,nominal_percent,at_s,pressure_kPa,raw");
    expect(csv.length).toBeGreaterThan(3);
  });

  it("of some runs says so, and is whole in them", async () => {
    const place = await exported("some", ["run-b"]);
    const proof = proveExport(place, { keys: [key.public_key] });
    expect(proof.findings).toEqual([]);
    expect(proof.notes[0]).toContain("some runs of the store only");
    expect(verifier(place).status).toBe(0);
  });

  it("tells the same things apart, and so does its own checker", async () => {
    const record = "runs/run-b.record.jsonl";
    const hashes = "runs/run-b.hashes.txt";
    const swap = (text: string): string => {
      const lines = text.split("\n");
      [lines[4], lines[5]] = [lines[5] ?? "", lines[4] ?? ""];
      return lines.join("\n");
    };
    const cases: readonly (readonly [string, string, (place: string) => void])[] = [
      ["changed", "changed", (place) => edit(join(place, record), (text) => text.replace("60.02", "60.03"))],
      [
        "cut",
        "end",
        (place) => {
          for (const name of [record, hashes])
            edit(join(place, name), (text) => `${text.split("\n").slice(0, 20).join("\n")}\n`);
        },
      ],
      ["cut", "whole", (place) => rmSync(join(place, record))],
      ["cut", "torn", (place) => edit(join(place, record), (text) => text.slice(0, -20))],
      ["reordered", "swapped", (place) => edit(join(place, record), swap)],
      ["duplicated", "twice", (place) => edit(join(place, record), (text) => text.replace(/^(.*\n)(.*\n)/u, "$1$2$2"))],
      [
        "changed",
        "signature",
        (place) => edit(join(place, "signatures.jsonl"), (text) => text.replace('"utc":"2', '"utc":"1')),
      ],
      ["changed", "summary", (place) => edit(join(place, "runs.jsonl"), (text) => text.replace('"pass"', '"fail"'))],
    ];
    for (const [kind, name, change] of cases) {
      const place = await exported(`case-${name}`);
      change(place);
      expect(kinds(proveExport(place, { keys: [key.public_key] })), name).toContain(kind);
      const checked = verifier(place, key.public_key);
      expect(checked.status, `${name}: ${checked.stdout}${checked.stderr}`).toBe(1);
    }
    const stranger = newKey(folder, "another").public_key;
    const place = await exported("case-stranger");
    expect(kinds(proveExport(place, { keys: [stranger] }))).toContain("unknown-key");
    expect(verifier(place, stranger).stdout).toContain("unknown key");
  });
});

describe("a single record", () => {
  const text = `${goldenBodies("run-x").join("\n")}\n`;
  const heads = [{ run_id: "run-x", head: recordHead(text), by: "certificate TK-1" }];

  it("is whole against the head of its certificate, and unproved without one", () => {
    expect(proveRecord("x", text, { heads }).findings).toEqual([]);
    expect(proveRecord("x", text).notes.join(" ")).toContain("Nothing from outside was given");
  });

  it("changed, cut, reordered, duplicated, of another run", () => {
    const lines = text.split("\n").slice(0, -1);
    const of = (changed: readonly string[], more = "") =>
      kinds(proveRecord("x", `${changed.join("\n")}\n${more}`, { heads }));
    expect(of(lines.map((l) => l.replace("60.02", "60.03")))).toEqual(["changed"]);
    expect(of(lines.slice(0, -4))).toEqual(["cut"]);
    expect(of(lines.slice(2))).toContain("cut");
    expect(of(lines, '{"half":')).toEqual(["cut"]);
    expect(of(lines.toSpliced(5, 2, lines[6] ?? "", lines[5] ?? ""))).toEqual(["reordered"]);
    expect(of(lines.toSpliced(5, 0, lines[5] ?? ""))).toEqual(["duplicated"]);
    const other = [{ run_id: "run-y", head: recordHead(""), by: "certificate TK-2" }];
    expect(kinds(proveRecord("x", text, { heads: other }))).toEqual(["replaced"]);
  });
});

it("a closed run cannot be closed again, and nothing is changed or deleted by the program's own way", async () => {
  const records = must(await openRecords(copy(), { bench: "Practice bench" }));
  expect(records.finish("run-a", smallSummary("run-a"))).toMatchObject({ ok: false });
  records.close();
});
