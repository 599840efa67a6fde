import { type Celsius, celsius, type Kilopascal, kPa, type Milliamp, mA } from "../vocabulary/quantities.ts";
import type { BenchFile, InstrumentSettings } from "./bench-file.schema.ts";
import type {
  MeasuredAirPressure,
  MeasuredCurrent,
  MeasuredHumidity,
  MeasuredPressure,
  MeasuredTemperature,
} from "./measured-quantity.schema.ts";
import { inKilopascal } from "./unit-values.ts";

/** Figures that follow from the certificates of the references. */

interface Knot {
  readonly at: number;
  readonly add: number;
}

/** Linear between the knots, level beyond the outer ones, zero without any. Knots rise. */
const interpolate = (knots: readonly Knot[], at: number): number => {
  const above = knots.findIndex((knot) => knot.at >= at);
  if (above === -1) return knots.at(-1)?.add ?? 0;
  const [left, right] = [knots[above - 1], knots[above]];
  if (right === undefined) return 0;
  if (left === undefined) return right.add;
  return left.add + ((at - left.at) / (right.at - left.at)) * (right.add - left.add);
};

/** Indication of a gauge with the corrections of its certificate applied, kPa. */
export const correctedPressure = (measured: MeasuredPressure, indication: Kilopascal): Kilopascal => {
  const knots = (measured.certificate?.corrections ?? []).map(({ at, add }) => ({ at: at.kPa, add: add.kPa }));
  return kPa(indication + interpolate(knots, indication));
};

/** Indication of a meter, or set value of a source, with the corrections of its certificate applied, mA. */
export const correctedCurrent = (measured: MeasuredCurrent, indication: Milliamp): Milliamp => {
  const knots = (measured.certificate?.corrections ?? []).map(({ at, add }) => ({ at: at.mA, add: add.mA }));
  return mA(indication + interpolate(knots, indication));
};

/** Indication of a thermometer with the corrections of its certificate applied, degC. */
export const correctedTemperature = (measured: MeasuredTemperature, indication: Celsius): Celsius => {
  const knots = (measured.certificate?.corrections ?? []).map(({ at, add }) => ({ at: at.degC, add: add.K }));
  return celsius(indication + interpolate(knots, indication));
};

/** Expanded uncertainty U at an indication; divide by `certificate.k`. A %span is of the instrument's range. null: no certificate. */
export const pressureUAt = (measured: MeasuredPressure, indication: Kilopascal): Kilopascal | null =>
  measured.certificate === undefined
    ? null
    : inKilopascal(measured.certificate.U, kPa(measured.upper.kPa - measured.lower.kPa), indication);

/** Expanded uncertainty U at an indication, mA; null: no certificate. */
export const currentUAt = (measured: MeasuredCurrent, indication: Milliamp): Milliamp | null => {
  const U = measured.certificate?.U;
  if (U === undefined) return null;
  if (U.kind === "current") return U.mA;
  const whole = U.kind === "percent-of-span" ? measured.upper.mA - measured.lower.mA : Math.abs(indication);
  return mA((U.percent / 100) * whole);
};

/** Expanded uncertainty U, kelvin; null: no certificate. */
export const temperatureUOf = (measured: MeasuredTemperature): number | null => measured.certificate?.U.K ?? null;

export interface Reference<M> {
  /** Name in the bench file. */
  readonly name: string;
  readonly instrument: InstrumentSettings;
  readonly measured: M;
}

/** The references of a station: what its results rest on. */
export interface StationReferences {
  readonly pressure: Reference<MeasuredPressure> | null;
  /** The independent meter when it has a certificate, else the source. */
  readonly current: (Reference<MeasuredCurrent> & { readonly from: "current-meter" | "source" }) | null;
  readonly supply: Reference<MeasuredPressure> | null;
  readonly temperature: Reference<MeasuredTemperature> | null;
  readonly humidity: Reference<MeasuredHumidity> | null;
  readonly airPressure: Reference<MeasuredAirPressure> | null;
}

const reference = <Q extends "pressure" | "current" | "temperature" | "humidity" | "air_pressure">(
  bench: BenchFile,
  name: string | undefined,
  quantity: Q,
): Reference<NonNullable<InstrumentSettings[Q]>> | null => {
  const instrument = name === undefined ? undefined : bench.instruments[name];
  const measured = instrument?.[quantity];
  if (name === undefined || instrument === undefined || measured === undefined) return null;
  return { name, instrument, measured: measured as NonNullable<InstrumentSettings[Q]> };
};

export const referencesOf = (bench: BenchFile, station: string): StationReferences => {
  const slots = bench.stations[station];
  const meter = reference(bench, slots?.current_meter, "current");
  const source = reference(bench, slots?.source, "current");
  const current =
    meter?.measured.certificate !== undefined
      ? { ...meter, from: "current-meter" as const }
      : source === null
        ? null
        : { ...source, from: "source" as const };
  return {
    pressure: reference(bench, slots?.gauge, "pressure"),
    current,
    supply: reference(bench, slots?.supply_gauge, "pressure"),
    temperature: reference(bench, slots?.ambient, "temperature"),
    humidity: reference(bench, slots?.humidity, "humidity"),
    airPressure: reference(bench, slots?.barometer, "air_pressure"),
  };
};
