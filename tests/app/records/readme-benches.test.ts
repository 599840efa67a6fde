import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { shipped } from "../../../src/app/package-root.ts";
import { type Cluster, POSTGRES, skipsPostgres, startCluster } from "./postgres-cluster.ts";

/** The commands of the README's section on several benches, as they are written there, one after the other. */
const section =
  readFileSync(shipped("README.md"), "utf8").split("## Several benches, one database")[1]?.split("\n## ")[0] ?? "";
const lines = (/```text\n([\s\S]*?)```/u.exec(section)?.[1] ?? "").trim().split("\n");

const wordsOf = (line: string): readonly string[] =>
  [...line.matchAll(/"([^"]*)"|(\S+)/gu)].map(([, quoted, plain]) => quoted ?? plain ?? "");

// Programs are started from their sources here, which takes its time on a machine that has much else to do.
vi.setConfig({ testTimeout: 180_000 });

/** The program from its sources, wherever it is called. */
const PROGRAM = [
  "--import",
  pathToFileURL(createRequire(import.meta.url).resolve("tsx")).href,
  shipped("src", "cli", "main.ts"),
];

const EXAMPLES: Readonly<Record<string, string>> = {
  "my-bench.yaml": shipped("bench-configs", "simulated-serial.yaml"),
  "my-unit.yaml": shipped("bench-configs", "ip-3-15-psi.yaml"),
};

describe.skipIf(skipsPostgres())("a shop of three benches (needs a PostgreSQL server: initdb, postgres)", () => {
  let cluster: Cluster;
  let folder: string;
  const said: string[] = [];

  beforeAll(async () => {
    cluster = await startCluster();
    folder = mkdtempSync(join(tmpdir(), "stillpoint-shop-"));
  });
  afterAll(async () => {
    rmSync(folder, { recursive: true, force: true });
    await cluster?.remove();
  });

  /** The server of the test stands on a port of its own, with an administrator of its own. */
  const ofServer = (args: readonly string[]): readonly string[] =>
    ["-h", "127.0.0.1", "-p", String(cluster.port), ...args].map((word) => (word === "postgres" ? "admin" : word));

  const run = (line: string): string => {
    const [program = "", ...args] = wordsOf(line);
    if (program === "psql" || program === "pg_dump") {
      const env = { ...process.env, PGPASSWORD: cluster.password, PGDATABASE: "postgres" };
      return execFileSync(join(POSTGRES ?? "", program), ofServer(args), { cwd: folder, env, encoding: "utf8" });
    }
    expect([program, args[0]]).toEqual(["npx", "stillpoint"]);
    const login = /postgres:\/\/([a-z_]+)@/u.exec(line)?.[1] ?? "";
    const secret = login.endsWith("_owner")
      ? { PGPASSWORD: /PASSWORD '([^']+)'/u.exec(lines.join("\n"))?.[1] ?? "" }
      : { PGPASSFILE: join(folder, "passwords", `${login}.pgpass`) };
    const words = args
      .slice(1)
      .map((word) => EXAMPLES[word] ?? word.replace("@localhost/", `@127.0.0.1:${cluster.port}/`));
    // Instead of a person at a real bench: a yes beforehand, and the virtual clock.
    const more = args[1] === "calibrate" ? ["--yes", "--clock", "virtual"] : [];
    const { PGPASSWORD: _, ...env } = process.env;
    return execFileSync(process.execPath, [...PROGRAM, ...words, ...more], {
      cwd: folder,
      env: { ...env, ...secret },
      encoding: "utf8",
      stdio: ["ignore", "pipe", "pipe"],
    });
  };

  it("has ten commands", () => expect(lines).toHaveLength(10));

  it.each(lines)("%s", (line) => {
    said.push(run(line));
    expect(said.join("\n")).not.toMatch(/choose your own|[0-9a-f]{48}\b/u);
  });

  it("finds the runs of all three in the end", async () => {
    // What the shippers in the background may still be at is sent by the bench itself.
    for (const [login, bench] of [
      ["cellar", "cellar"],
      ["yard", "yard"],
      ["keg_line", "keg-line"],
    ] as const) {
      run(
        `npx stillpoint ship --records reports/${bench}/records.sqlite --database postgres://${login}@localhost/brewery`,
      );
    }
    const found = JSON.parse(run("npx stillpoint find --json --database postgres://office@localhost/brewery")) as {
      readonly runs: readonly { readonly operator: string; readonly simulated: boolean; readonly bench_id: string }[];
    };
    expect(found.runs.map((r) => r.operator).toSorted()).toEqual(["A. Technician", "B. Fitter", "C. Apprentice"]);
    expect(found.runs.every((r) => r.simulated)).toBe(true);
    expect(new Set(found.runs.map((r) => r.bench_id)).size).toBe(3);
    expect(await cluster.admin("select count(*)::int as n from senders", "brewery")).toEqual([{ n: 3 }]);
  });

  it("brings everything into an empty database again when it is asked for all", async () => {
    await cluster.admin("drop database brewery with (force)");
    run('psql -U postgres -c "CREATE DATABASE brewery OWNER brewery_owner"');
    run("npx stillpoint prepare-database --database postgres://brewery_owner@localhost/brewery --bench cellar");
    const cellar = "--records reports/cellar/records.sqlite --database postgres://cellar@localhost/brewery";
    expect(run(`npx stillpoint ship ${cellar} --all`)).toMatch(/^1 run sent/u);
    expect(run(`npx stillpoint ship ${cellar} --all`)).toMatch(/^1 there already/u);
    expect(run(`npx stillpoint ship ${cellar}`)).toMatch(/^Everything was there already/u);
  });
});
