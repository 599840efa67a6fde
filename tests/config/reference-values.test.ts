import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { BenchFile } from "../../src/config/bench-file.schema.ts";
import { parseBenchFile } from "../../src/config/bench-file.ts";
import { parseLaboratoryFile, smallestUAt } from "../../src/config/laboratory-file.ts";
import {
  correctedCurrent,
  correctedPressure,
  correctedTemperature,
  currentUAt,
  pressureUAt,
  referencesOf,
  temperatureUOf,
} from "../../src/config/reference-values.ts";
import { celsius, kPa, mA } from "../../src/vocabulary/quantities.ts";
import { accepted } from "./example-files.ts";
import { changed, goodBench, goodLaboratory } from "./good-texts.ts";
import { knownParts } from "./known-parts.ts";

const bench = (text: string): BenchFile => accepted(parseBenchFile(text, "b.yaml", knownParts));
const { pressure, current, temperature } = referencesOf(bench(goodBench), "station-1");
if (pressure === null || current === null || temperature === null) throw new Error("the station has its references");

const pressureWithU = (U: string) => {
  const found = referencesOf(bench(changed(goodBench, "U: 0.03 kPa", `U: ${U}`)), "station-1").pressure;
  if (found === null) throw new Error("the station has a gauge");
  return found.measured;
};

describe("corrections of a certificate", () => {
  // +0.01 kPa at 50 kPa, -0.01 kPa at 150 kPa.
  it.each([
    [0, 0.01],
    [50, 0.01],
    [75, 0.005],
    [100, 0],
    [150, -0.01],
    [250, -0.01],
  ])("at %d kPa add %d kPa: linear between, level beyond", (indication, add) => {
    expect(correctedPressure(pressure.measured, kPa(indication)) - indication).toBeCloseTo(add, 12);
  });

  it("change nothing where the certificate has none", () => {
    expect(correctedCurrent(current.measured, mA(12))).toBe(12);
    expect(correctedTemperature(temperature.measured, celsius(21))).toBe(21);
  });

  it("of current and temperature are added in their own unit", () => {
    const text = changed(
      goodBench,
      "U: 0.002 mA, k: 2.0",
      "U: 0.002 mA, k: 2.0, corrections: [{ at: 4 mA, add: 2 uA }, { at: 20 mA, add: -6 uA }]",
    );
    const meter = referencesOf(bench(text), "station-1").current;
    expect(meter && correctedCurrent(meter.measured, mA(12))).toBeCloseTo(11.998, 12);
    const warm = changed(
      goodBench,
      "temperature: { lower: 0 degC, upper: 50 degC }",
      "temperature: { lower: 0 degC, upper: 50 degC, certificate: { number: T, laboratory: H, date: 2026-01-01, due: 2027-01-01, U: 0.2 degC, k: 2, corrections: [{ at: 20 degC, add: -0.3 K }] } }",
    );
    const thermometer = referencesOf(bench(warm), "station-1").temperature;
    expect(thermometer && correctedTemperature(thermometer.measured, celsius(23))).toBeCloseTo(22.7, 12);
    expect(thermometer && temperatureUOf(thermometer.measured)).toBe(0.2);
  });

  it("are continuous and never outside the corrections given", () => {
    fc.assert(
      fc.property(fc.double({ min: -50, max: 400, noNaN: true }), (at) => {
        const add = correctedPressure(pressure.measured, kPa(at)) - at;
        expect(Math.abs(add)).toBeLessThanOrEqual(0.01 + 1e-9);
        expect(correctedPressure(pressure.measured, kPa(at + 1e-6)) - 1e-6 - at).toBeCloseTo(add, 7);
      }),
    );
  });
});

describe("U of a certificate", () => {
  it("is a pressure, a share of the range or a share of the reading", () => {
    expect(pressureUAt(pressureWithU("0.03 kPa"), kPa(100))).toBe(0.03);
    expect(pressureUAt(pressureWithU("0.02 %span"), kPa(100))).toBeCloseTo(0.05, 12); // of 250 kPa
    expect(pressureUAt(pressureWithU("0.05 %reading"), kPa(100))).toBeCloseTo(0.05, 12);
  });

  it("of a current likewise", () => {
    const withU = (U: string) => referencesOf(bench(changed(goodBench, "U: 0.002 mA", `U: ${U}`)), "station-1").current;
    const at = (U: string) => {
      const meter = withU(U);
      return meter === null ? null : currentUAt(meter.measured, mA(10));
    };
    expect(at("0.002 mA")).toBe(0.002);
    expect(at("0.01 %span")).toBeCloseTo(0.0025, 12); // of 25 mA
    expect(at("0.01 %reading")).toBeCloseTo(0.001, 12);
  });

  it("is null without a certificate", () => {
    expect(temperatureUOf(temperature.measured)).toBeNull();
  });
});

describe("the references of a station", () => {
  it("take the current from the meter when it has a certificate, else from the source", () => {
    expect(current).toMatchObject({ name: "meter", from: "current-meter" });
    const text = changed(
      changed(
        goodBench,
        "certificate: { number: E-1, laboratory: Hillside, date: 2026-03-01, due: 2027-02-28, U: 0.002 mA, k: 2.0 }\n",
        "resolution: 1 uA\n",
      ),
      "current: { lower: 0 mA, upper: 24 mA }",
      "current: { lower: 0 mA, upper: 24 mA, certificate: { number: S, laboratory: H, date: 2026-01-01, due: 2027-01-01, U: 3 uA, k: 2 } }",
    );
    expect(referencesOf(bench(text), "station-1").current).toMatchObject({ name: "loop-source", from: "source" });
  });

  it("are null for a station that is not there", () => {
    expect(referencesOf(bench(goodBench), "station-7")).toEqual({
      pressure: null,
      current: null,
      supply: null,
      temperature: null,
      humidity: null,
      airPressure: null,
    });
  });
});

describe("smallestUAt", () => {
  const laboratory = accepted(parseLaboratoryFile(goodLaboratory, "l.yaml"));
  it("reads the scope, takes the larger where two entries meet, and says null outside", () => {
    expect(smallestUAt(laboratory, kPa(50), "gauge")).toBe(0.05);
    expect(smallestUAt(laboratory, kPa(200), "gauge")).toBeCloseTo(0.1, 12);
    expect(smallestUAt(laboratory, kPa(100), "gauge")).toBeCloseTo(0.05, 12);
    expect(smallestUAt(laboratory, kPa(800), "gauge")).toBeNull();
    expect(smallestUAt(laboratory, kPa(50), "absolute")).toBeNull();
  });
});
