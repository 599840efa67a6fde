import { closeSync, existsSync, mkdtempSync, openSync, readFileSync, rmSync, statSync, writeSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect, it } from "vitest";
import { proveStore } from "../../../src/app/records/prove-store.ts";
import { openSqlite } from "../../../src/app/records/sqlite-file.ts";
import { addActs, newKey, smallStore } from "./small-store.ts";

/** R96: one bit is flipped anywhere in a store. It is named, or it is proved that nothing that is read has changed. */

const FLIPS = 6000;

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

/** Park and Miller's minimal standard generator: the same flips in every run. */
const numbers = (seed: number): (() => number) => {
  let state = seed;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
};

it(`names each of ${FLIPS} flipped bits, or proves that it changed nothing`, async () => {
  const path = join(folder, "records.sqlite");
  const key = newKey(folder);
  await smallStore(path, ["run-a", "run-b"], key);
  addActs(path, "run-a");
  const whole = readFileSync(path);
  const content = contentOf(path);
  expect((await proveStore(path, { keys: [key.public_key] })).findings).toEqual([]);
  const random = numbers(20261125);
  const flipped = (position: number, bit: number): void => {
    const file = openSync(path, "r+");
    writeSync(file, Uint8Array.of((whole[position] ?? 0) ^ (1 << bit)), 0, 1, position);
    closeSync(file);
  };
  const restored = (position: number): void => {
    const file = openSync(path, "r+");
    writeSync(file, Uint8Array.of(whole[position] ?? 0), 0, 1, position);
    closeSync(file);
  };
  const kinds = new Map<string, number>();
  const missed: string[] = [];
  for (let i = 0; i < FLIPS; i += 1) {
    const position = Math.floor(random() * whole.length);
    const bit = Math.floor(random() * 8);
    flipped(position, bit);
    const { findings } = await proveStore(path, { keys: [key.public_key], threads: 0 });
    const kind = findings[0]?.kind ?? "harmless";
    if (kind === "harmless" && contentOf(path) !== content) missed.push(`bit ${bit} of byte ${position}`);
    kinds.set(kind, (kinds.get(kind) ?? 0) + 1);
    restored(position);
  }
  process.stderr.write(
    `${statSync(path).size} bytes, ${FLIPS} flips: ${[...kinds].map(([kind, n]) => `${n} ${kind}`).join(", ")}\n`,
  );
  expect(missed).toEqual([]);
  // The file is as it was: looking never writes.
  expect(readFileSync(path).equals(whole)).toBe(true);
  // A store of which most is free space would prove little.
  expect(FLIPS - (kinds.get("harmless") ?? 0)).toBeGreaterThan(FLIPS / 4);
}, 120_000);
