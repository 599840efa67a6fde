import { spawn } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { beforeAll, describe, expect, it } from "vitest";
import { makeLinkTo } from "../../../../drivers/links/make-link-to.ts";
import { PACKAGE_ROOT } from "../../../../src/app/package-root.ts";
import { SERVICE_UNIT } from "../../../../src/app/serve-bench.ts";
import { seconds } from "../../../../src/vocabulary/quantities.ts";
import { builtOnce } from "../../../end-to-end/build-once.ts";
import { benchFile, startSimulator, temporaryFolder } from "../../../end-to-end/program.ts";
import type { InstrumentReport } from "./check-bench.ts";

/** The script as `npm run contract:bench` starts it, against a simulated bench that another process serves. */
const TSX = pathToFileURL(createRequire(import.meta.url).resolve("tsx")).href;
const SCRIPT = join(PACKAGE_ROOT, "tests/drivers/contract/bench/contract-bench.ts");

const contract = (args: readonly string[]): Promise<{ code: number | null; out: string; talk: string }> =>
  new Promise((resolve, reject) => {
    const child = spawn(process.execPath, ["--import", TSX, SCRIPT, ...args], { cwd: PACKAGE_ROOT });
    let out = "";
    let talk = "";
    child.stdout.on("data", (bytes: Buffer) => {
      out += bytes.toString();
    });
    child.stderr.on("data", (bytes: Buffer) => {
      talk += bytes.toString();
    });
    child.once("error", reject);
    child.once("close", (code) => resolve({ code, out, talk }));
  });

const findingsOf = (out: string, role: string) => {
  const reports = JSON.parse(out) as readonly InstrumentReport[];
  return reports.find((each) => each.role === role)?.findings ?? [];
};

const outcomes = (out: string, role: string, outcome: string): readonly string[] =>
  findingsOf(out, role).flatMap((each) => (each.outcome === outcome ? [each.check] : []));

/** A register of the simulated bench's service unit, to see what was written and to plant trouble. */
const service = (endpoints: Awaited<ReturnType<typeof startSimulator>>["endpoints"]) => {
  const place = endpoints.service;
  if (place.kind !== "tcp") throw new Error("the service registers are served over TCP");
  const timing = { answer_deadline_s: 2, quiet_after_trouble_s: 0.2 };
  const link = makeLinkTo("service", place, timing, { stamp: () => seconds(performance.now() / 1000) });
  return { link, registers: link.registers({ instrument: "service", unit: SERVICE_UNIT }) };
};

const HOLD_COIL = 7;
const TRUE_CURRENT = 10;

beforeAll(() => builtOnce(), 180_000);

describe("the contract on a bench that another process serves", () => {
  it("holds over TCP, writes nothing unless asked, and says what it left out", async () => {
    const { endpoints, file } = await startSimulator("simulated-tcp", 1);
    const { link, registers } = service(endpoints);
    const before = await registers.readRegisters("input", TRUE_CURRENT, 2);
    const { code, out, talk } = await contract([benchFile("simulated-tcp"), "--simulator", file, "--json"]);
    const after = await registers.readRegisters("input", TRUE_CURRENT, 2);
    await link.close();
    expect({ code, talk }).toEqual({ code: 0, talk: "" });
    const roles = (JSON.parse(out) as readonly InstrumentReport[]).map(({ role }) => role);
    expect(roles).toEqual(["source", "gauge", "supply-gauge", "current-meter", "ambient", "humidity", "barometer"]);
    for (const role of roles) expect(outcomes(out, role, "failed")).toEqual([]);
    expect(outcomes(out, "source", "skipped")).toEqual([
      "sets and confirms",
      "a current beyond its range is refused unsent",
      "fallback when nobody speaks to it",
      "is left as asked",
    ]);
    expect(before.ok && after.ok && after.value.registers).toEqual(before.ok && before.value.registers);
  }, 120_000);

  it("drives the source of a serial bench when asked, and leaves it where it was told", async () => {
    const { file } = await startSimulator("simulated-serial", 1);
    const args = [benchFile("simulated-serial"), "--simulator", file, "--with-output", "4.5 mA"];
    const { code, out } = await contract(args);
    expect(out).toMatch(/^SIMULATED\. Practice bench/u);
    expect(out).toMatch(/passed +is left as asked +it stands at 4\.5 mA/u);
    expect(out).toContain("0 failed, 0 skipped");
    expect(code).toBe(0);
  }, 120_000);

  it("names the instrument that does not hold: another serial number, and a gauge in hold", async () => {
    const { endpoints, file } = await startSimulator("simulated-tcp", 1);
    const { link, registers } = service(endpoints);
    const changed = join(temporaryFolder(), "changed.yaml");
    writeFileSync(changed, readFileSync(benchFile("simulated-tcp"), "utf8").replaceAll("SIM-SOURCE-1", "SIM-SOURCE-9"));
    await registers.writeCoil(HOLD_COIL, true);
    const { code, out } = await contract([changed, "--simulator", file, "--json"]);
    await link.close();
    expect(code).toBe(1);
    expect(outcomes(out, "source", "failed")).toContain("identity and settings");
    const [identity] = findingsOf(out, "source");
    expect(identity?.saw).toContain("SIM-SOURCE-9");
    expect(outcomes(out, "gauge", "failed")).toContain("values: unit, range, stamps, deadline");
    expect(outcomes(out, "barometer", "failed")).toEqual([]);
  }, 120_000);

  it("opens nothing when it is asked for what it cannot do, and says why", async () => {
    for (const [args, why] of [
      [[], "npm run contract:bench"],
      [["no-such-file.yaml"], "cannot be read"],
      [[benchFile("simulated-tcp"), "--with-output", "22 mA"], "limits of the bench"],
      [[benchFile("simulated-tcp"), "--station", "station-9"], "There is no station station-9"],
      [[benchFile("simulated-tcp"), "--with-output", "3 psi"], "current"],
    ] as const) {
      const { code, talk } = await contract(args);
      expect(talk).toContain(why);
      expect(code).toBe(2);
    }
    // A simulated bench that nobody serves: each instrument says so.
    const { code, out } = await contract([benchFile("simulated-tcp")]);
    expect(code).toBe(1);
    expect(out).toContain("no simulated bench serves it");
  }, 120_000);
});
