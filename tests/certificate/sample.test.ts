import { execFile } from "node:child_process";
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { promisify } from "node:util";
import { describe, expect, it } from "vitest";
import { shipped } from "../../src/app/package-root.ts";
import { checkDcc } from "../../src/certificate/dcc/check-dcc.ts";
import { missingOfArchiveList } from "./archive-list.ts";
import { SAMPLE, sampleCertificate } from "./sample-certificate.ts";

const run = promisify(execFile);
const sha256 = (bytes: Uint8Array | string): string => createHash("sha256").update(bytes).digest("hex");

describe("the committed specimen", () => {
  it("R85, R108: is what its record gives today, byte for byte (npm run sample:renew makes it again)", async () => {
    const { pdf, dcc, model } = await sampleCertificate();
    expect(model.status).toBe("specimen");
    expect(dcc).toBe(readFileSync(SAMPLE.xml, "utf8"));
    expect(sha256(pdf)).toBe(sha256(readFileSync(SAMPLE.pdf)));
  });

  it("is sound, and says on its first page what it is", () => {
    expect(checkDcc(readFileSync(SAMPLE.xml, "utf8"))).toEqual([]);
    expect(missingOfArchiveList(readFileSync(SAMPLE.pdf))).toEqual([]);
    expect(readFileSync(shipped("README.md"), "utf8")).toContain("reports/sample/specimen-page-1.png");
    expect(readFileSync(SAMPLE.image).subarray(1, 4).toString()).toBe("PNG");
  });

  it("R77: is the same under four languages and time zones of the machine", async () => {
    const settings = [
      { LC_ALL: "de_DE.UTF-8", LANG: "de_DE.UTF-8", TZ: "Europe/Berlin" },
      { LC_ALL: "fr_FR.UTF-8", LANG: "fr_FR.UTF-8", TZ: "America/Montreal" },
      { LC_ALL: "sv_SE.UTF-8", LANG: "sv_SE.UTF-8", TZ: "Pacific/Kiritimati" },
      { LC_ALL: "ar_EG.UTF-8", LANG: "ar_EG.UTF-8", TZ: "Africa/Cairo" },
    ];
    // That the settings reach the program at all: each child forms numbers and hours in its own way.
    const own = "console.log((1234.5).toLocaleString(), new Date(0).toLocaleString())";
    const ways = await Promise.all(
      settings.map((setting) => run(process.execPath, ["-e", own], { env: { ...process.env, ...setting } })),
    );
    expect(new Set(ways.map(({ stdout }) => stdout)).size).toBe(settings.length);
    const committed = `${sha256(readFileSync(SAMPLE.pdf))} ${sha256(readFileSync(SAMPLE.xml))}`;
    const script = shipped("tests", "certificate", "make-sample.ts");
    const outputs = await Promise.all(
      settings.map(async (setting) => {
        const { stdout } = await run(process.execPath, ["--import", "tsx", script, "--digest"], {
          cwd: shipped(),
          env: { ...process.env, ...setting },
        });
        return stdout.trim();
      }),
    );
    expect(outputs).toEqual(settings.map(() => committed));
  }, 60_000);
});
