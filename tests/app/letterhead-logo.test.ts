import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { deflateSync } from "node:zlib";
import { afterAll, describe, expect, it } from "vitest";
import { certifyRecord } from "../../src/app/certify.ts";
import { crc32 } from "../../src/app/crc-32.ts";
import { readJobFiles } from "../../src/app/job-files.ts";
import { knownParts } from "../../src/app/known-parts.ts";
import { shipped } from "../../src/app/package-root.ts";
import { readPicture } from "../../src/config/picture.ts";
import { missingOfArchiveList } from "../certificate/archive-list.ts";
import { describeWith, run } from "../certificate/witness.ts";
import { practiceRecord } from "./certificate-job.ts";
import { must } from "./practice-job.ts";

const chunk = (type: string, data: Uint8Array): Buffer => {
  const body = Buffer.concat([Buffer.from(type, "latin1"), data]);
  const out = Buffer.alloc(body.length + 8);
  out.writeUInt32BE(data.length, 0);
  body.copy(out, 4);
  out.writeUInt32BE(crc32(body), body.length + 4);
  return out;
};

/** A plain picture of 40 by 20 grey pixels, or of another kind of colour. */
const png = (options: { colour?: number; depth?: number; rows?: Uint8Array } = {}): Buffer => {
  const head = Buffer.alloc(13);
  head.writeUInt32BE(40, 0);
  head.writeUInt32BE(20, 4);
  head.set([options.depth ?? 8, options.colour ?? 0, 0, 0, 0], 8);
  const rows = Buffer.alloc(41 * 20, 0x60);
  for (let y = 0; y < 20; y += 1) rows[41 * y] = 0;
  return Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]),
    chunk("IHDR", head),
    chunk("IDAT", options.rows ?? deflateSync(rows)),
    chunk("IEND", new Uint8Array()),
  ]);
};

const place = mkdtempSync(join(tmpdir(), "letterhead-"));
afterAll(() => rmSync(place, { recursive: true, force: true }));

const bench = shipped("bench-configs", "simulated-lines.yaml");
const unit = shipped("bench-configs", "ip-3-15-psi.yaml");
const laboratoryWith = (logo: string): string => {
  const path = join(place, "laboratory.yaml");
  const text = readFileSync(shipped("bench-configs", "laboratory.yaml"), "utf8").replace(/^logo:.*\n/m, "");
  writeFileSync(path, `${text.trimEnd()}\nlogo: ${logo}\n`);
  return path;
};
const jobWith = (logo: string) => readJobFiles({ bench, unit, laboratory: laboratoryWith(logo) }, knownParts());

describe("the logo of the letterhead", () => {
  it("R24: its bytes go into the record, so that the certificate is drawn the same when the file is gone", () => {
    writeFileSync(join(place, "kettles.png"), png());
    const files = must(jobWith("kettles.png"));
    const kept = files.kept.find((f) => f.role === "logo");
    expect(kept?.name).toBe("kettles.png");
    expect(Buffer.from(kept?.text ?? "", "base64").equals(png())).toBe(true);
    expect(Buffer.from(files.logo ?? []).equals(png())).toBe(true);
  });

  it.each([
    ["is not there", "nowhere.png", null, /cannot be read/],
    ["is no picture", "words.png", Buffer.from("Three Kettles Brewery"), /neither a PNG nor a JPEG/],
    ["breaks off", "cut.png", png().subarray(0, 60), /breaks off/],
    ["has damaged contents", "damaged.png", png({ rows: Buffer.from("not packed") }), /contents are damaged/],
    ["is transparent", "clear.png", png({ colour: 6 }), /transparent; save it on a white ground/],
    ["has 16 bits", "deep.png", png({ depth: 16 }), /16 bits/],
    ["is a JPEG that breaks off", "cut.jpg", Buffer.from([0xff, 0xd8, 0xff, 0xe0, 0, 4, 0, 0]), /breaks off/],
    ["is too large", "large.png", Buffer.concat([png(), Buffer.alloc(1_000_001)]), /1000000 that a record keeps/],
  ])("a logo that %s is refused in one sentence before anything begins", (_, name, bytes, words) => {
    if (bytes !== null) writeFileSync(join(place, name), bytes);
    const before = readdirSync(place).sort();
    const files = jobWith(name);
    expect(files.ok ? "" : files.fault.message).toMatch(words);
    expect(files.ok ? "" : files.fault.message).toContain(name);
    expect(readdirSync(place).sort()).toEqual(before);
  });

  it("knows a JPEG by its frame", () => {
    const frame = [0xff, 0xc0, 0, 17, 8, 0, 20, 0, 40, 3, 1, 17, 0, 2, 17, 1, 3, 17, 1];
    expect(readPicture(Buffer.from([0xff, 0xd8, ...frame, 0xff, 0xd9]))).toEqual({
      ok: true,
      value: { kind: "jpeg", width: 40, height: 20 },
    });
    const inks = frame.with(9, 4);
    expect(readPicture(Buffer.from([0xff, 0xd8, ...inks, 0xff, 0xd9]))).toMatchObject({ ok: false });
  });
});

describeWith(["pdfimages"], "the logo as others read it", () => {
  it("R2, R107: stands on the first page only, tagged with words, and the archive list holds", async () => {
    writeFileSync(join(place, "kettles.png"), png());
    const kept = must(jobWith("kettles.png")).kept;
    const record = (await practiceRecord())
      .split("\n")
      .map((line, i) => {
        if (i !== 0) return line;
        const recorded = JSON.parse(line) as { event: { files: { role: string }[] } };
        recorded.event.files = [
          ...recorded.event.files.filter((f) => f.role !== "laboratory"),
          ...kept.filter((f) => f.role === "laboratory" || f.role === "logo"),
        ];
        return JSON.stringify(recorded);
      })
      .join("\n");
    const options = { language: "en", paper: "A4", issued_ms: Date.UTC(2031, 2, 5) } as const;
    const first = must(await certifyRecord(record, knownParts(), options));
    rmSync(join(place, "kettles.png"));
    const again = must(await certifyRecord(record, knownParts(), options));
    expect(Buffer.from(again.pdf).equals(Buffer.from(first.pdf))).toBe(true);
    expect(missingOfArchiveList(first.pdf)).toEqual([]);
    const images = run("pdfimages", ["-list", "{}"], first.pdf).trim().split("\n").slice(2);
    expect(images).toHaveLength(1);
    expect(images[0]).toMatch(/^\s+1\s+0\s+image\s+40\s+20\s+gray/);
    expect(Buffer.from(first.pdf).toString("latin1")).toMatch(/\/Alt \(Logo of /);
  });
});
