import { cpSync, mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { openRecords } from "../../../src/app/records/open-records.ts";
import { proveStore } from "../../../src/app/records/prove-store.ts";
import { openSqlite } from "../../../src/app/records/sqlite-file.ts";
import { must } from "../practice-job.ts";
import { goldenBodies, smallSummary } from "./small-store.ts";

/** Stores of every released version stay readable, and go on in this one. */

const FIXTURES = new URL("./fixtures/", import.meta.url).pathname;
const stores = readdirSync(FIXTURES).filter((name) => name.endsWith(".sqlite"));
const folder = mkdtempSync(join(tmpdir(), "stillpoint-old-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

it("there is a store to look at", () => {
  expect(stores.length).toBeGreaterThan(0);
});

describe.each(stores)("%s", (name) => {
  const path = join(folder, name);

  it("is whole as it lies, brought to this version, and after another run", async () => {
    cpSync(join(FIXTURES, name), path);
    expect((await proveStore(path)).findings).toEqual([]);
    const records = must(await openRecords(path, { bench: "another" }));
    const [first] = must(records.bodies("20310304-073000-HC15-20431-0001"));
    expect(first).toContain('"kind":"run-started"');
    must(records.begin("20330304-073000-HC15-20431-0003", "cellar"));
    must(records.append("20330304-073000-HC15-20431-0003", goldenBodies("20330304-073000-HC15-20431-0003")));
    must(records.finish("20330304-073000-HC15-20431-0003", smallSummary("20330304-073000-HC15-20431-0003")));
    records.close();
    const proof = await proveStore(path);
    expect(proof.findings).toEqual([]);
    expect(proof.runs).toBe(3);
  });

  it("of a version that is yet to come is refused in words, and left as it is", async () => {
    const newer = join(folder, `newer-${name}`);
    cpSync(join(FIXTURES, name), newer);
    const file = openSqlite(newer);
    file.exec("pragma user_version = 1000");
    file.close();
    const opened = await openRecords(newer, { bench: "another" });
    expect(opened).toMatchObject({ ok: false, fault: { code: "record-damaged" } });
    expect(opened.ok ? "" : opened.fault.message).toContain("newer version of this program");
  });
});
