import type { BenchFile } from "../config/bench-file.schema.ts";
import { referencesOf } from "../config/reference-values.ts";
import type { RunRecord } from "../readings/run-record.ts";
import type { ReferenceInUse } from "./certificate-input.ts";

/**
 * The references of a station that have a certificate, by the model that each gave of itself in the record; the table of
 * instruments adds the makers.
 */
export const referencesInUse = (bench: BenchFile, record: RunRecord): readonly ReferenceInUse[] => {
  const { pressure, current, supply, temperature, humidity, airPressure } = referencesOf(bench, record.header.station);
  const named = [
    { role: "gauge" as const, reference: pressure },
    { role: current?.from ?? ("source" as const), reference: current },
    { role: "supply-gauge" as const, reference: supply },
    { role: "ambient" as const, reference: temperature },
    { role: "humidity" as const, reference: humidity },
    { role: "barometer" as const, reference: airPressure },
  ];
  return named.flatMap(({ role, reference }): ReferenceInUse[] => {
    const certificate = reference?.measured.certificate;
    if (reference === null || certificate === undefined) return [];
    const seen = record.instruments.find((i) => i.name === reference.name);
    return [
      {
        role,
        description: seen?.model ?? reference.name,
        serial_number: seen?.serial_number ?? reference.instrument.serial_number,
        certificate: {
          number: certificate.number,
          laboratory: certificate.laboratory,
          ...(certificate.route === undefined ? {} : { route: certificate.route }),
          date: certificate.date,
          due: certificate.due,
          U: certificate.U.text,
          k: certificate.k,
        },
      },
    ];
  });
};
