import type { BenchFile } from "../config/bench-file.schema.ts";
import type { MeasuredCurrent, MeasuredPressure } from "../config/measured-quantity.schema.ts";
import { referencesOf } from "../config/reference-values.ts";
import { type BenchFacts, fixedPart, type TwoPart } from "../uncertainty/bench-facts.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";

const pressurePart = (measured: MeasuredPressure, U: NonNullable<MeasuredPressure["certificate"]>["U"]): TwoPart => {
  switch (U.kind) {
    case "pressure":
      return fixedPart(U.kPa);
    case "percent-of-span":
      return fixedPart((U.percent / 100) * (measured.upper.kPa - measured.lower.kPa));
    case "percent-of-reading":
      return { fixed: 0, of_reading: U.percent / 100 };
  }
};

const currentPart = (measured: MeasuredCurrent, U: NonNullable<MeasuredCurrent["certificate"]>["U"]): TwoPart => {
  switch (U.kind) {
    case "current":
      return fixedPart(U.mA);
    case "percent-of-span":
      return fixedPart((U.percent / 100) * (measured.upper.mA - measured.lower.mA));
    case "percent-of-reading":
      return { fixed: 0, of_reading: U.percent / 100 };
  }
};

const uncertified = (name: string, quantity: string): Result<never, Fault> =>
  err(
    fault("refused", "bad-file", `${name} has no certificate for its ${quantity} in the bench file.`, {
      means: "Without it the results have no uncertainty and no traceability.",
      remedy: `Write the certificate of ${name} under instruments.${name}.${quantity}.certificate.`,
    }),
  );

/** What the references of a station contribute to the uncertainty, in internal units. */
export const benchFacts = (bench: BenchFile, station: string): Result<BenchFacts, Fault> => {
  const { pressure, current } = referencesOf(bench, station);
  const slots = bench.stations[station];
  const gauge = pressure?.measured.certificate;
  if (pressure === null || gauge === undefined) return uncertified(slots?.gauge ?? "the gauge", "pressure");
  const loop = current?.measured.certificate;
  if (current === null || loop === undefined) return uncertified(slots?.source ?? "the source", "current");
  return ok({
    gauge: {
      name: pressure.name,
      certificate: { number: gauge.number, U: pressurePart(pressure.measured, gauge.U), k: gauge.k },
      ...(pressure.measured.resolution === undefined ? {} : { resolution: pressure.measured.resolution.kPa }),
    },
    current: {
      name: current.name,
      role: current.from === "current-meter" ? "meter" : "source",
      certificate: { number: loop.number, U: currentPart(current.measured, loop.U), k: loop.k },
      ...(current.measured.resolution === undefined ? {} : { resolution: current.measured.resolution.mA }),
    },
  });
};
