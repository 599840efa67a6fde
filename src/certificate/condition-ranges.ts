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

export const conditionRanges = (input: CertificateInput): readonly ConditionRange[] => {
  const points = input.record.stages.flatMap((s) => s.points);
  const { room } = input;
  return [
    { id: "ambient", unit: "degC", range: rounded(rangeOf(points.map((p) => p.ambient_degC)), -1), from: "record" },
    { id: "humidity", unit: "%", range: rounded(room?.humidity_percent, 0), from: "room" },
    { id: "air-pressure", unit: "hPa", range: rounded(room?.pressure_hPa, 0), from: "room" },
    { id: "supply", unit: "kPa", range: rounded(rangeOf(points.map((p) => p.supply_kPa)), -1), from: "record" },
  ];
};
