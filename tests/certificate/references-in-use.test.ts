import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import { referencesInUse } from "../../src/certificate/references-in-use.ts";
import { benchFileSchema } from "../../src/config/bench-file.schema.ts";
import { sampleInput } from "./sample-input.ts";

const text = readFileSync(new URL("../../bench-configs/simulated-tcp.yaml", import.meta.url), "utf8");
const bench = benchFileSchema.parse(parse(text));

describe("references in use", () => {
  it("R63: lists pressure and current reference, supply gauge and the meters of the room with their own certificates", () => {
    const { record } = sampleInput();
    const used = referencesInUse(bench, record);
    expect(used.map((r) => [r.role, r.certificate.number])).toEqual([
      ["gauge", "SIM-26-0302"],
      ["current-meter", "SIM-26-0303"],
      ["supply-gauge", "SIM-26-0304"],
      ["ambient", "SIM-26-0305"],
      ["humidity", "SIM-26-0306"],
      ["barometer", "SIM-26-0307"],
    ]);
  });

  it("takes model and serial number as the instrument told them in the record", () => {
    const { record } = sampleInput();
    const used = referencesInUse(bench, record).find((r) => r.role === "current-meter");
    expect(used).toMatchObject({ description: "BM-3", serial_number: "BM3-1177" });
  });

  it("leaves out what has no certificate, so that nothing is called traceable through it", () => {
    const { record } = sampleInput();
    const gauge = bench.instruments["gauge"];
    if (gauge?.pressure === undefined) throw new Error("no gauge");
    const { certificate: _, ...pressure } = gauge.pressure;
    const without = { ...bench, instruments: { ...bench.instruments, gauge: { ...gauge, pressure } } };
    expect(referencesInUse(without, record).map((r) => r.role)).not.toContain("gauge");
  });
});
