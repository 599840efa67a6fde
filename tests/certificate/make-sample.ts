import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, writeFileSync } from "node:fs";
import { dirname } from "node:path";
import { SAMPLE, sampleCertificate } from "./sample-certificate.ts";

/**
 * Makes the committed specimen again: `npm run sample:renew`. With `--digest` nothing is written and only the digests of
 * both forms are told. The record is made once and then kept.
 */
const sha256 = (bytes: Uint8Array | string): string => createHash("sha256").update(bytes).digest("hex");

const makeRecord = async (): Promise<void> => {
  // Taken in only here: the bench and all its drivers are not needed to make the papers again.
  const { runVirtualJob } = await import("../../src/app/virtual-job.ts");
  const { must, practiceJob } = await import("../app/practice-job.ts");
  const lines: string[] = [];
  const keep = (line: string): null => {
    lines.push(line);
    return null;
  };
  must(
    await runVirtualJob(practiceJob(), {
      run_id: "20261125-0917-HC15",
      utc_zero_ms: Date.UTC(2026, 10, 25, 9, 17),
      keep,
    }),
  );
  mkdirSync(dirname(SAMPLE.record), { recursive: true });
  writeFileSync(SAMPLE.record, `${lines.join("\n")}\n`);
};

const say = (text: string): void => {
  process.stdout.write(`${text}\n`);
};

if (!existsSync(SAMPLE.record)) await makeRecord();
const { pdf, dcc } = await sampleCertificate();
if (process.argv.includes("--digest")) say(`${sha256(pdf)} ${sha256(dcc ?? "")}`);
else {
  writeFileSync(SAMPLE.pdf, pdf);
  writeFileSync(SAMPLE.xml, dcc ?? "");
  execFileSync("pdftoppm", [
    "-png",
    "-r",
    "80",
    "-f",
    "1",
    "-l",
    "1",
    "-singlefile",
    SAMPLE.pdf,
    SAMPLE.image.replace(/\.png$/, ""),
  ]);
  for (const path of Object.values(SAMPLE)) say(path);
}
