import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { randomBytes } from "node:crypto";
import {
  chownSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { delimiter, join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import pg from "pg";

/**
 * A PostgreSQL of the test's own, in a temporary folder on a free port of loopback. It runs as an unprivileged user, as
 * the server insists, and is ended by its own process id.
 */
export interface Cluster {
  readonly port: number;
  readonly password: string;
  /** Address of a database for a login, without password. */
  url(login: string, database: string): string;
  /** Runs one statement as the superuser. */
  admin(sql: string, database?: string): Promise<readonly Record<string, unknown>[]>;
  /** A new empty database and its owner, a login that may create roles and nothing more. */
  shop(name: string, tablespace?: string): Promise<{ readonly owner: string; readonly password: string }>;
  start(): Promise<void>;
  /** `immediate` is a power cut: no checkpoint, no word to the clients. */
  stop(how?: "fast" | "immediate"): Promise<void>;
  /** A folder that belongs to the user the server runs as. */
  readonly folder: string;
  readonly runsAs: { readonly uid?: number; readonly gid?: number };
  /** Ends it for good and removes its folder. */
  remove(): Promise<void>;
}

const versionOf = (folder: string): number => Number(/(\d+)/u.exec(folder)?.[1] ?? 0);

const NEEDED = ["initdb", "postgres", "psql", "pg_dump"] as const;

/** Folder with the server and its tools: the newest that the system keeps aside, or that of PATH. */
const programs = (): string | null => {
  const aside = ["/usr/lib/postgresql", "/usr/local/lib/postgresql", "C:\\Program Files\\PostgreSQL"].flatMap((top) =>
    existsSync(top)
      ? readdirSync(top)
          .toSorted((a, b) => versionOf(b) - versionOf(a))
          .map((version) => join(top, version, "bin"))
      : [],
  );
  const known = [...aside, ...(process.env["PATH"] ?? "").split(delimiter), "/opt/homebrew/bin"];
  const has = (folder: string, name: string): boolean =>
    ["", ".exe"].some((end) => existsSync(join(folder, name + end)));
  return known.find((folder) => NEEDED.every((name) => has(folder, name))) ?? null;
};

export const POSTGRES = programs();

/** The names of the tests say what is missing; with CI=true a missing server is a failure. */
export const skipsPostgres = (): boolean => POSTGRES === null && process.env["CI"] !== "true";

/** Whom to run as: root may not, so then the user that the package made, or nobody. */
const unprivileged = (): { readonly uid: number; readonly gid: number } | Record<string, never> => {
  if (process.getuid?.() !== 0) return {};
  const users = readFileSync("/etc/passwd", "utf8").split("\n");
  const line = ["postgres", "nobody"].map((name) => users.find((u) => u.startsWith(`${name}:`))).find(Boolean) ?? "";
  const [, , uid, gid] = line.split(":").map(Number);
  if (uid === undefined || gid === undefined) throw new Error("no unprivileged user to run PostgreSQL as");
  return { uid, gid };
};

const freePort = (): Promise<number> =>
  new Promise((resolve, reject) => {
    const server = createServer().once("error", reject);
    server.listen(0, "127.0.0.1", () => {
      const address = server.address();
      server.close(() => resolve(typeof address === "object" && address !== null ? address.port : 0));
    });
  });

const SETTINGS = [
  "-c",
  "listen_addresses=127.0.0.1",
  "-c",
  "unix_socket_directories=",
  "-c",
  "fsync=off",
  "-c",
  "shared_buffers=64MB",
  "-c",
  "max_connections=60",
];

export const startCluster = async (): Promise<Cluster> => {
  if (POSTGRES === null) throw new Error("This test needs a PostgreSQL server (initdb, postgres, psql, pg_dump).");
  const folder = mkdtempSync(join(tmpdir(), "stillpoint-postgres-"));
  const who = unprivileged();
  const data = join(folder, "data");
  mkdirSync(data, { mode: 0o700 });
  const password = randomBytes(12).toString("hex");
  const secret = join(folder, "secret");
  writeFileSync(secret, password);
  if (who.uid !== undefined) for (const path of [folder, data, secret]) chownSync(path, who.uid, who.gid);
  execFileSync(
    join(POSTGRES, "initdb"),
    ["-D", data, "-U", "admin", "--auth=scram-sha-256", `--pwfile=${secret}`, "--no-sync", "-E", "UTF8", "--locale=C"],
    { ...who, cwd: folder, stdio: "pipe" },
  );
  const port = await freePort();
  let server: ChildProcess | null = null;
  const kill = (): void => {
    server?.kill("SIGQUIT");
  };
  process.once("exit", kill);

  const query = async (sql: string, database: string): Promise<readonly Record<string, unknown>[]> => {
    const client = new pg.Client({ host: "127.0.0.1", port, user: "admin", password, database });
    client.on("error", () => {});
    await client.connect();
    try {
      const result = await client.query<Record<string, unknown>>(sql);
      return result.rows;
    } finally {
      await client.end();
    }
  };

  const cluster: Cluster = {
    port,
    password,
    folder,
    runsAs: who,
    url: (login, database) => `postgres://${login}@127.0.0.1:${port}/${database}`,
    admin: (sql, database = "postgres") => query(sql, database),
    shop: async (name, tablespace = "pg_default") => {
      const owner = `${name}_owner`;
      const secretOfOwner = randomBytes(12).toString("hex");
      await query(`create role ${owner} login createrole password '${secretOfOwner}'`, "postgres");
      await query(`create database ${name} owner ${owner} tablespace ${tablespace}`, "postgres");
      return { owner, password: secretOfOwner };
    },
    start: async () => {
      const started = spawn(join(POSTGRES ?? "", "postgres"), ["-D", data, "-p", String(port), ...SETTINGS], {
        ...who,
        cwd: folder,
        stdio: "ignore",
      });
      server = started;
      for (let tries = 0; ; tries += 1) {
        try {
          await query("select 1", "postgres");
          return;
        } catch (error) {
          if (tries > 200 || started.exitCode !== null) throw error;
          await wait(50);
        }
      }
    },
    stop: async (how = "fast") => {
      const running = server;
      if (running === null) return;
      server = null;
      const ended = new Promise<void>((resolve) => running.once("exit", () => resolve()));
      running.kill(how === "fast" ? "SIGINT" : "SIGQUIT");
      await ended;
    },
    remove: async () => {
      await cluster.stop("immediate");
      process.off("exit", kill);
      rmSync(folder, { recursive: true, force: true });
    },
  };
  await cluster.start();
  return cluster;
};
