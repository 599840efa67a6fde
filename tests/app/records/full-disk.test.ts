import { spawnSync } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statfsSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, describe, expect, it } from "vitest";
import { EMPTY_HEAD, nextHead } from "../../../src/app/hash-chain.ts";
import { openRecords } from "../../../src/app/records/open-records.ts";
import { proveStore } from "../../../src/app/records/prove-store.ts";
import { openRecordStore } from "../../../src/app/records/record-store.ts";
import type { Fault } from "../../../src/vocabulary/fault.ts";
import { must } from "../practice-job.ts";
import { goldenBodies, smallStore, smallSummary } from "./small-store.ts";

/** R95 and what follows when it was not enough: a small disk of its own that fills up, and one that cannot be written. */

const folder = mkdtempSync(join(tmpdir(), "stillpoint-disk-"));
const disk = join(folder, "disk");
mkdirSync(disk);

const mount = (...options: readonly string[]): boolean =>
  spawnSync("mount", ["-t", "tmpfs", "-o", options.join(","), "tmpfs", disk]).status === 0;
const unmount = (): void => {
  spawnSync("umount", ["-l", disk]);
};
const canMount = mount("size=1m");
if (canMount) unmount();
const needed = process.env["CI"] === "true";

afterEach(unmount);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const freeBytes = (): number => {
  const { bavail, bsize } = statfsSync(disk);
  return bavail * bsize;
};
/** Takes all room but this. */
const leave = (bytes: number): string => {
  const ballast = join(disk, "ballast");
  writeFileSync(ballast, Buffer.alloc(Math.max(0, freeBytes() - bytes)));
  return ballast;
};

describe.skipIf(!canMount && !needed)("a small disk (needs the right to mount one)", () => {
  const path = join(disk, "records.sqlite");

  it("with too little room is refused before a run", async () => {
    expect(mount("size=30m")).toBe(true);
    leave(4e6);
    const opened = await openRecords(path, { bench: "Practice bench" });
    expect(opened).toMatchObject({ ok: false, fault: { kind: "record", code: "record-write" } });
    expect(opened.ok ? "" : opened.fault.message).toMatch(/has [34]\.\d MB left; 20 MB are wanted/u);
  });

  it("that fills up ends the record cleanly: all that was acknowledged is there, and it can be gone on with", async () => {
    expect(mount("size=30m")).toBe(true);
    const troubles: Fault[] = [];
    let acknowledged = 0;
    const store = must(
      await openRecordStore(path, {
        bench: "Practice bench",
        onTrouble: (f) => troubles.push(f),
        onKept: (_, { events }) => {
          acknowledged = events;
        },
      }),
    );
    const run = must(await store.begin({ run_id: "run-a", station: "cellar" }));
    const bodies = goldenBodies("run-a", run.ledger);
    const ballast = leave(60_000);
    const written: string[] = [];
    let refused: Fault | null = null;
    for (let n = 0; n < 4000 && refused === null; n += 1) {
      const body = bodies[n % bodies.length] ?? "";
      refused = run.append(body);
      if (refused === null) written.push(body);
      if (n % 8 === 0) await run.settled();
    }
    expect(refused?.message).toContain("the disk is full");
    expect(refused?.remedy).toContain("Free space");
    expect(troubles).toHaveLength(1);
    expect(await run.settled()).toMatchObject({ ok: false });
    expect(await store.finish("run-a", smallSummary("run-a"))).toMatchObject({ ok: false });
    await store.close();
    rmSync(ballast);
    const again = must(await openRecords(path, { bench: "Practice bench" }));
    const kept = must(again.bodies("run-a"));
    expect(acknowledged).toBeGreaterThan(0);
    expect(kept.length).toBeGreaterThanOrEqual(acknowledged);
    expect(kept).toEqual(written.slice(0, kept.length));
    must(again.resume("run-a"));
    const { head } = must(again.append("run-a", ["{}"]));
    expect(head).toBe([...kept, "{}"].reduce(nextHead, EMPTY_HEAD));
    again.close();
    expect((await proveStore(path)).findings.filter((f) => f.kind === "unreadable")).toEqual([]);
  }, 60_000);

  it("that cannot be written is told before a run, and can still be proved", async () => {
    expect(mount("size=40m")).toBe(true);
    // Made elsewhere: a file that this process has open for writing would keep its disk from being protected.
    await smallStore(join(folder, "elsewhere.sqlite"), ["run-a"]);
    cpSync(join(folder, "elsewhere.sqlite"), path);
    expect(spawnSync("mount", ["-o", "remount,ro", disk]).status).toBe(0);
    const store = await openRecordStore(path, { bench: "Practice bench" });
    const begun = store.ok ? await store.value.begin({ run_id: "run-b", station: "cellar" }) : store;
    if (store.ok) await store.value.close();
    expect(begun).toMatchObject({ ok: false, fault: { kind: "record", code: "record-write" } });
    expect(begun.ok ? "" : begun.fault.message).toMatch(/cannot be written there/u);
    expect((await proveStore(path)).findings).toEqual([]);
    expect(readFileSync(path).length).toBeGreaterThan(0);
  });
});

it("a folder that cannot be made is told before a run", async () => {
  const file = join(folder, "a-file");
  writeFileSync(file, "");
  const opened = await openRecords(join(file, "records.sqlite"), { bench: "Practice bench" });
  expect(opened).toMatchObject({ ok: false, fault: { kind: "record", code: "record-write" } });
  expect(opened.ok ? "" : (opened.fault.remedy ?? "")).toContain("--records");
});
