import { describe, expect, it } from "vitest";
import type { CertificateInput } from "../../src/certificate/certificate-input.ts";
import { conditionRanges } from "../../src/certificate/condition-ranges.ts";
import { dccText } from "../../src/certificate/dcc/dcc-text.ts";
import { sampleInput } from "./sample-input.ts";

/** The sample with what hygrometer and barometer showed at each point. */
const measured = (humidity: readonly (number | null)[], air_kPa: readonly (number | null)[]): CertificateInput => {
  const { room: _, ...input } = sampleInput();
  let at = -1;
  const stages = input.record.stages.map((stage) => ({
    ...stage,
    points: stage.points.map((point) => {
      at += 1;
      return {
        ...point,
        humidity_percent: humidity[at % humidity.length] ?? null,
        air_pressure_kPa: air_kPa[at % air_kPa.length] ?? null,
      };
    }),
  }));
  return { ...input, record: { ...input.record, stages } };
};

const of = (input: CertificateInput, id: string) => conditionRanges(input).find((each) => each.id === id);

describe("conditions of a certificate", () => {
  it("take humidity and air pressure of the record, lowest and highest, in % and hPa", () => {
    const input = measured([44.6, 47.2, 45.5], [101.31, 101.26]);
    expect(of(input, "humidity")).toEqual({
      id: "humidity",
      unit: "%",
      range: { lowest: "45", highest: "47" },
      from: "record",
    });
    expect(of(input, "air-pressure")).toEqual({
      id: "air-pressure",
      unit: "hPa",
      range: { lowest: "1013", highest: "1013" },
      from: "record",
    });
  });

  it("pass over points at which the meter gave nothing", () => {
    expect(of(measured([null, 52.4], [101.3]), "humidity")?.range).toEqual({ lowest: "52", highest: "52" });
  });

  it("prefer the record to what was noted of the room, and take that where the record has nothing", () => {
    const room = { humidity_percent: [30, 31], pressure_hPa: [990, 991] } as const;
    const input = measured([45], [null]);
    expect(of({ ...input, room }, "humidity")?.range).toEqual({ lowest: "45", highest: "45" });
    expect(of({ ...input, room }, "air-pressure")).toMatchObject({
      range: { lowest: "990", highest: "991" },
      from: "room",
    });
  });

  it("stand in the data file in units of the SI only where they were measured", () => {
    const text = dccText(measured([45], [101.3]));
    // D-SI names of the units: percent, and hecto pascal.
    expect(text).toContain("\\percent");
    expect(text).toContain("\\hecto\\pascal");
    const none = dccText(measured([null], [null]));
    expect(none).not.toContain("\\hecto\\pascal");
    expect(none).not.toContain("basic_humidityRelative");
    expect(text).toContain("basic_humidityRelative");
  });
});
