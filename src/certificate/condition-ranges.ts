import { roundToPlace } from "../uncertainty/rounding.ts";
import type { CertificateInput } from "./certificate-input.ts";

/** What the surroundings were over all readings, rounded once for paper and data file. */
export interface ConditionRange {
  readonly id: "ambient" | "humidity" | "air-pressure" | "supply";
  readonly unit: "degC" | "%" | "hPa" | "kPa";
  /** Plain decimals; null when nobody recorded it. */
  readonly range: { readonly lowest: string; readonly highest: string } | null;
  readonly from: "record" | "room";
}

/** Smallest and largest of the values that are there; null when there is none. */
export const rangeOf = (values: readonly (number | null)[]): readonly [number, number] | null => {
  const known = values.filter((v): v is number => v !== null && Number.isFinite(v));
  return known.length === 0 ? null : [Math.min(...known), Math.max(...known)];
};

const rounded = (range: readonly [number, number] | null | undefined, place: number): ConditionRange["range"] =>
  range === null || range === undefined
    ? null
    : { lowest: roundToPlace(range[0], place), highest: roundToPlace(range[1], place) };

/** What the record holds stands before what was noted of the room. */
const measuredOr = (
  measured: readonly [number, number] | null,
  noted: readonly [number, number] | undefined,
): Pick<ConditionRange, "range" | "from"> =>
  measured === null ? { range: rounded(noted, 0), from: "room" } : { range: rounded(measured, 0), from: "record" };

export const conditionRanges = (input: CertificateInput): readonly ConditionRange[] => {
  const points = input.record.stages.flatMap((s) => s.points);
  const { room } = input;
  const air_kPa = rangeOf(points.map((p) => p.air_pressure_kPa ?? null));
  const air_hPa: readonly [number, number] | null = air_kPa === null ? null : [10 * air_kPa[0], 10 * air_kPa[1]];
  return [
    { id: "ambient", unit: "degC", range: rounded(rangeOf(points.map((p) => p.ambient_degC)), -1), from: "record" },
    {
      id: "humidity",
      unit: "%",
      ...measuredOr(rangeOf(points.map((p) => p.humidity_percent ?? null)), room?.humidity_percent),
    },
    { id: "air-pressure", unit: "hPa", ...measuredOr(air_hPa, room?.pressure_hPa) },
    { id: "supply", unit: "kPa", range: rounded(rangeOf(points.map((p) => p.supply_kPa)), -1), from: "record" },
  ];
};
