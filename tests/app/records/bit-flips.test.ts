import { existsSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setImmediate as turn } from "node:timers/promises";
import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { afterAll, expect, it } from "vitest";
import { proveStore } from "../../../src/app/records/prove-store.ts";
import { openSqlite } from "../../../src/app/records/sqlite-file.ts";
import { minimalStandard } from "./kill-writer.ts";
import { addActs, newKey, smallStore } from "./small-store.ts";

/** R96: one bit is flipped anywhere in a store. It is named, or it is proved that nothing that is read has changed. */

const FLIPS = 5000;

// In memory where the system has such a folder: each flip is a file that is opened anew.
const folder = mkdtempSync(join(existsSync("/dev/shm") ? "/dev/shm" : tmpdir(), "stillpoint-flips-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Everything that any command reads out of a store. When rows were handed on, and when a step was taken, is told to nobody. */
const TABLES = [
  "select * from events order by run_id, seq",
  "select * from bench_ledger order by bench_id, seq",
  "select * from runs order by run_id",
  "select * from references_used order by run_id, role, serial_number",
  "select * from certificate_acts order by certificates_id, seq",
  "select * from signatures order by run_id, head",
  "select run_id from shipped order by run_id",
  "select certificates_id, seq from shipped_acts",
  "select name from kysely_migration order by name",
  "select type, name, tbl_name, sql from sqlite_master order by type, name",
  "pragma user_version",
];

const contentOf = (path: string): string => {
  const file = openSqlite(path, "read");
  try {
    return JSON.stringify(
      TABLES.map((query) =>
        file
          .prepare(query)
          .all()
          .map((row) => ({ ...(row as object), _metadata: undefined })),
      ),
    );
  } finally {
    file.close();
  }
};

/** The binding lets go of a closed file when its statements are collected; thousands of files in one process need that. */
setFlagsFromString("--expose-gc");
const collect = runInNewContext("gc") as () => void;

it(`names each of ${FLIPS} flipped bits, or proves that it changed nothing`, async () => {
  const path = join(folder, "records.sqlite");
  const key = newKey(folder);
  await smallStore(path, ["run-a", "run-b"], key);
  addActs(path, "run-a");
  const whole = readFileSync(path);
  const content = contentOf(path);
  expect((await proveStore(path, { keys: [key.public_key] })).findings).toEqual([]);
  const random = minimalStandard(20261125);
  const flipped = (position: number, bit: number): Buffer => {
    const bytes = Buffer.from(whole);
    bytes[position] = (bytes[position] ?? 0) ^ (1 << bit);
    for (const end of ["-wal", "-shm", "-journal"]) rmSync(`${path}${end}`, { force: true });
    writeFileSync(path, bytes);
    return bytes;
  };
  const kinds = new Map<string, number>();
  const missed: string[] = [];
  for (let i = 0; i < FLIPS; i += 1) {
    const position = Math.floor(random() * whole.length);
    const bit = Math.floor(random() * 8);
    const bytes = flipped(position, bit);
    const { findings } = await proveStore(path, { keys: [key.public_key], threads: 0 });
    const kind = findings[0]?.kind ?? "harmless";
    if (kind === "harmless" && contentOf(path) !== content) missed.push(`bit ${bit} of byte ${position}`);
    kinds.set(kind, (kinds.get(kind) ?? 0) + 1);
    // Looking never writes, whatever it sees.
    if (!readFileSync(path).equals(bytes)) missed.push(`bit ${bit} of byte ${position}: the file was written`);
    if (i % 100 === 0) {
      collect();
      await turn();
    }
  }
  process.stderr.write(
    `${statSync(path).size} bytes, ${FLIPS} flips: ${[...kinds].map(([kind, n]) => `${n} ${kind}`).join(", ")}\n`,
  );
  expect(missed).toEqual([]);
  // A store of which most is free space would prove little.
  expect(FLIPS - (kinds.get("harmless") ?? 0)).toBeGreaterThan(FLIPS / 4);
}, 600_000);
