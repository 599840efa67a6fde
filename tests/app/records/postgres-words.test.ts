import { createHash, createHmac } from "node:crypto";
import { chmodSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { parsePostgresAddress } from "../../../src/app/records/postgres-address.ts";
import { OpenPasswordFile, passwordFor, passwordIn } from "../../../src/app/records/postgres-password.ts";
import { postgresTrouble } from "../../../src/app/records/postgres-trouble.ts";
import { scramVerifier } from "../../../src/app/records/scram-verifier.ts";

describe("the address of a shared database", () => {
  it("is taken apart, and named without anything secret", () => {
    expect(parsePostgresAddress("postgres://cellar@db.example:6432/brewery?sslmode=verify-full")).toEqual({
      ok: true,
      value: {
        url: "postgres://cellar@db.example:6432/brewery?sslmode=verify-full",
        login: "cellar",
        host: "db.example",
        port: "6432",
        database: "brewery",
        name: "cellar@db.example:6432/brewery",
      },
    });
    expect(parsePostgresAddress("postgresql://cellar@db/brewery")).toMatchObject({ ok: true, value: { port: "5432" } });
  });

  it.each(["nonsense", "mysql://a@b/c", "postgres://db/brewery", "postgres://cellar@db", "postgres://cellar@/x"])(
    "refuses %s",
    (text) => expect(parsePostgresAddress(text)).toMatchObject({ ok: false, fault: { kind: "refused" } }),
  );

  it("refuses one with a password in it, and does not repeat it", () => {
    const result = parsePostgresAddress("postgres://cellar:hunter2@db/brewery");
    expect(result).toMatchObject({ ok: false, fault: { kind: "refused", code: "bad-option" } });
    expect(JSON.stringify(result)).not.toContain("hunter2");
  });
});

describe("passwords", () => {
  const wanted = { host: "db", port: "5432", database: "brewery", login: "cellar" };

  // Format: PostgreSQL documentation, "The Password File".
  it.each([
    ["db:5432:brewery:cellar:right", "right"],
    ["# a remark\n\nother:5432:brewery:cellar:wrong\n*:*:*:cellar:right", "right"],
    ["*:*:brewery:cellar:first\n*:*:brewery:cellar:second", "first"],
    ["*:*:*:*:with\\:colon and \\\\ stroke", "with:colon and \\ stroke"],
    ["db:5433:brewery:cellar:wrong", null],
    ["db:5432:brewery:yard:wrong", null],
    ["", null],
  ])("in the file %j", (text, password) => expect(passwordIn(text, wanted)).toBe(password));

  it("come from PGPASSWORD first, then from the file of PGPASSFILE, which nobody else may read", () => {
    const folder = mkdtempSync(join(tmpdir(), "stillpoint-password-"));
    try {
      const file = join(folder, "cellar.pgpass");
      writeFileSync(file, "*:*:brewery:cellar:from the file\n", { mode: 0o600 });
      expect(passwordFor(wanted, { PGPASSFILE: file, PGPASSWORD: "from the environment" })).toBe(
        "from the environment",
      );
      expect(passwordFor(wanted, { PGPASSFILE: file })).toBe("from the file");
      expect(passwordFor(wanted, { PGPASSFILE: join(folder, "none") })).toBe("");
      if (process.platform === "win32") return;
      chmodSync(file, 0o640);
      expect(() => passwordFor(wanted, { PGPASSFILE: file })).toThrow(OpenPasswordFile);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });

  // RFC 7677, section 3: the exchange of user "user" with password "pencil".
  it("become the verifier of RFC 7677", () => {
    const verifier = scramVerifier("pencil", Buffer.from("W22ZaJ0SNY7soEsUEjb6gQ==", "base64"), 4096);
    const [, stored = "", server = ""] =
      /^SCRAM-SHA-256\$4096:W22ZaJ0SNY7soEsUEjb6gQ==\$(.+):(.+)$/u.exec(verifier) ?? [];
    const nonce = "rOprNGfwEbeRWgbNEkqO%hvYDpWUa2RaTCAfuxFIlj)hNlF$k0";
    const exchange = `n=user,r=rOprNGfwEbeRWgbNEkqO,r=${nonce},s=W22ZaJ0SNY7soEsUEjb6gQ==,i=4096,c=biws,r=${nonce}`;
    const signed = (key: string): Buffer => createHmac("sha256", Buffer.from(key, "base64")).update(exchange).digest();
    expect(signed(server).toString("base64")).toBe("6rriTRBi23WpRR/wtup+mMhUZUn/dB5nLTJRsjl95G4=");
    const proof = Buffer.from("dHzbZapWIk4jUhN+Ute9ytag9zjfMHgsqmmiz7AndVQ=", "base64");
    const clientKey = Buffer.from(proof.map((byte, i) => byte ^ (signed(stored)[i] ?? 0)));
    expect(createHash("sha256").update(clientKey).digest("base64")).toBe(stored);
  });
});

describe("what the shared database says", () => {
  const said = (code: string, message = "why") => postgresTrouble(Object.assign(new Error(message), { code }), "a@b/c");

  // Classes of SQLSTATE: PostgreSQL documentation, appendix "PostgreSQL Error Codes".
  it.each([
    ["28P01", false, "not-allowed"],
    ["3D000", false, "bad-option"],
    ["42P01", false, "bad-file"],
    ["42501", false, "not-allowed"],
    ["SP001", false, "record-damaged"],
    ["22021", false, "internal"],
    ["53100", true, "device-busy"],
    ["53300", true, "device-busy"],
    ["57P01", true, "line-lost"],
    ["57P03", true, "line-lost"],
    ["40P01", true, "line-lost"],
    ["08006", true, "line-lost"],
    ["ECONNREFUSED", true, "line-lost"],
    ["EPIPE", true, "line-lost"],
    ["", true, "line-lost"],
  ])("%s: may pass by itself: %s", (code, passing, stable) => {
    expect(said(code)).toMatchObject({ passing, fault: { code: stable } });
    expect(said(code).fault.message).toMatch(/^The shared database a@b\/c .*why/u);
  });

  it("tells each of the addresses of a host that could not be reached", () => {
    const both = new AggregateError([new Error("one"), new Error("two")]);
    expect(postgresTrouble(both, "a@b/c").fault.message).toContain("one; two");
  });
});
