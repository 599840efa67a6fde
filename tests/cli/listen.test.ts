import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { encodeRtu } from "../../drivers/frames/rtu-frame.ts";
import { shipped } from "../../src/app/package-root.ts";
import { type Serving, serveBench } from "../../src/app/serve-bench.ts";
import { define } from "../../src/cli/commands/listen.ts";
import { must, practiceJob } from "../app/practice-job.ts";
import { runCommand } from "./in-process.ts";

const folder = mkdtempSync(join(tmpdir(), "stillpoint-listen-"));
const file = (name: string, text: string): string => {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
};
const serve = async (name: "simulated-tcp" | "simulated-lines"): Promise<Serving> => {
  const { bench, station, unit } = practiceJob({ bench: name });
  return must(await serveBench({ bench, station, unit, factor: 1 }));
};

let registers: Serving;
let lines: Serving;
beforeAll(async () => {
  [registers, lines] = await Promise.all([serve("simulated-tcp"), serve("simulated-lines")]);
});
afterAll(async () => {
  await registers?.close();
  await lines?.close();
  rmSync(folder, { recursive: true, force: true });
});

const listen = (...args: string[]) => runCommand(define, args);
const bench = (name: string): string => shipped("bench-configs", `${name}.yaml`);

describe("listening to an instrument", () => {
  it("prints what a register instrument of a bench file says, raw and decoded, with its time", async () => {
    const endpoints = file("tcp.json", JSON.stringify(registers.endpoints));
    const said = await listen(
      ...[
        "--bench",
        bench("simulated-tcp"),
        "--instrument",
        "gauge",
        "--simulator",
        endpoints,
        "--times",
        "2",
        "--every",
        "0.01",
      ],
    );
    expect(said.code).toBe(0);
    expect(said.out).toMatch(/^input 0, 8 long {3}\d+\.\d ms$/mu);
    expect(said.out).toMatch(/^ {2}raw 0[0-9a-f]( [0-9a-f]{2})+$/mu);
    expect(said.out).toMatch(/^ {2}readings\.pressure: -?\d+(\.\d+)? kPa$/mu);
    expect(said.out).toMatch(/^ {2}readings\.status: 0 \(no bit set\)$/mu);
    expect(said.out).toMatch(/^ {2}identity\.serial_number: "SIM-GAUGE-1"$/mu);
    expect(said.out).toMatch(/^ {2}settings\.unit: kPa$/mu);
    expect(said.talk).toMatch(/^4 answers: fastest \d+\.\d ms, middle \d+\.\d ms, slowest \d+\.\d ms\.$/mu);
  });

  it("prints what an instrument of lines says, and questions of its own without a profile", async () => {
    const endpoints = file("lines.json", JSON.stringify(lines.endpoints));
    const job = practiceJob({ bench: "simulated-lines" });
    const gauge = job.bench.stations[job.station]?.gauge ?? "";
    const said = await listen("--bench", bench("simulated-lines"), "--instrument", gauge, "--simulator", endpoints);
    expect(said.code).toBe(0);
    expect(said.out).toMatch(/^MEAS:PRES\? {3}\d+\.\d ms$/mu);
    expect(said.out).toMatch(/readings\.pressure: value "-?[\d.eE+-]+"/u);
    const [place] = Object.values(lines.endpoints.links).filter((each) => each.kind === "serial");
    if (place === undefined) return;
    const plain = await listen("--link", `${place.path},9600,8N1`, "--ask", "*IDN?", "--json");
    expect(plain.code).toBe(0);
    expect(JSON.parse(plain.out)).toMatchObject({
      asked: "*IDN?",
      says: [{ name: "*IDN?", text: expect.stringContaining("SIMULATED") }],
    });
  });

  it("reads registers without a profile, and tells refusals and silence apart", async () => {
    const [at] = Object.values(registers.endpoints.links);
    if (at?.kind !== "tcp") throw new Error("no TCP link");
    const link = `tcp://${at.host}:${at.port}`;
    const { bench: file } = practiceJob({ bench: "simulated-tcp" });
    const address = String(
      Object.values(file.instruments).find(({ profile }) => profile === "reference-gauge-registers")?.address,
    );
    const said = await listen(
      "--link",
      link,
      "--address",
      address,
      "--registers",
      "holding:32:2",
      "--registers",
      "input:99:1",
    );
    expect(said.out).toMatch(/^ {2}32: 21321 {2}0x5349$/mu);
    expect(said.out).toMatch(/device-refused: .*illegal data address/u);
    expect(said.code).toBe(5);
  });

  it("sends nothing but questions", async () => {
    const said = await listen("--link", "tcp://127.0.0.1:1", "--ask", "SOUR:CURR 20");
    expect(said.code).toBeNull();
    expect(said.talk).toMatch(/is no question, and only questions are sent/u);
  });

  it("says what is missing, and what no link is", async () => {
    expect((await listen()).code).toBe(2);
    expect((await listen("--link", "ttyUSB0", "--registers", "input:0:2")).talk).toMatch(/"ttyUSB0" is no link/u);
    const unknown = await listen("--bench", bench("simulated-tcp"), "--instrument", "gauge-9");
    expect(unknown.talk).toMatch(/no instrument gauge-9 .*\n.*There are: .*gauge/u);
  });
});

/** Pressure 60.25 kPa, status 0, count 7, resolution 0.001, temperature 21.5: IEEE 754 by hand. */
const ANSWER = [0x04, 16, 0x42, 0x71, 0x00, 0x00, 0, 0, 0, 7, 0x3a, 0x83, 0x12, 0x6f, 0x41, 0xac, 0, 0];
const QUESTION = [0x04, 0, 0, 0, 8];
const rtu = (...pdu: number[]): string =>
  Buffer.from(encodeRtu({ unit: 2, pdu: Uint8Array.from(pdu) })).toString("hex");

describe("checking a profile against captured bytes", () => {
  const dry = (bytes: string, profile = "reference-gauge-registers") => listen("--profile", profile, "--bytes", bytes);

  it("decodes question and answer, from hex or from a file with comments", async () => {
    const text = `# gauge, captured\n> ${rtu(...QUESTION)}\n< ${rtu(...ANSWER)}\n`;
    for (const bytes of [rtu(...QUESTION) + rtu(...ANSWER), file("capture.txt", text)]) {
      const said = await dry(bytes);
      expect(said.code).toBe(0);
      expect(said.out).toContain("unit 2: 8 of input from 0");
      expect(said.out).toContain("readings.pressure: 60.25 kPa");
      expect(said.out).toContain("readings.count: 7");
      expect(said.talk).toMatch(/The bytes say nothing of .*settings\.unit/u);
    }
  });

  it("takes a lone answer for the group of its length, and says so", async () => {
    const said = await dry(rtu(...ANSWER));
    expect(said.out).toContain("the question was not captured");
    expect(said.out).toContain("readings.pressure: 60.25 kPa");
  });

  it("names the order that would make sense of a number with its words swapped", async () => {
    const swapped = [0x04, 16, 0x00, 0x00, 0x42, 0x71, ...ANSWER.slice(6)];
    const said = await dry(rtu(...QUESTION) + rtu(...swapped));
    expect(said.code).toBe(1);
    expect(said.out).toMatch(/readings\.pressure: .* <- no plausible number; it would be 60\.25 with order CDAB/u);
  });

  it("says what it could not read, and what no hex is", async () => {
    expect((await dry("de ad be ef 00")).out).toContain("5 bytes that fit nowhere");
    expect((await dry("xyz")).code).toBe(2);
  });

  it("holds lines against the patterns of a line profile", async () => {
    const good = await dry("> MEAS:PRES?\n< 60.25\n> UNIT:PRES?\n< kPa\n", "reference-gauge-lines");
    expect(good.code).toBe(0);
    expect(good.out).toContain('readings.pressure: value "60.25"');
    const bad = await dry("> MEAS:PRES?\n< 60.25 kPa\n", "reference-gauge-lines");
    expect(bad.code).toBe(1);
    expect(bad.out).toContain("no pattern of the profile fits this answer");
  });
});
