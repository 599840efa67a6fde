/**
 * Limits that come with the class or grade of a pressure gauge, and with the class of the air that feeds a unit.
 * What is read, and where: EN 837-1:1996, Table 11 (the class is the greatest error, % of span); Eichordnung, Anlage 16
 * (superseded) for gauges in service; ASME B40.100 from memory but for 4A and D; ISO 8573-1:2010 in two public copies;
 * ANSI/ISA-7.0.01-1996 in public summaries, its figures completed from memory.
 */
export interface GaugeClass {
  readonly name: string;
  readonly source: string;
  /** Greatest error in % of span for the lower quarter, the middle half and the upper quarter of the range. */
  readonly percent: readonly [lower: number, middle: number, upper: number];
  /** The wider limit of a gauge in service; null where the rule has none. */
  readonly in_service_percent: number | null;
  /** Hysteresis, % of span; null where the rule has none. */
  readonly hysteresis_percent: number | null;
}

const EN_837 = [
  [0.1, 0.15],
  [0.25, 0.4],
  [0.6, 0.9],
  [1, 1.5],
  [1.6, 2.4],
  [2.5, 3.8],
  [4, 6],
] as const;

const ASME = [
  ["4A", 0.1, 0.1],
  ["3A", 0.25, 0.25],
  ["2A", 0.5, 0.5],
  ["1A", 1, 1],
  ["A", 2, 1],
  ["B", 3, 2],
  ["C", 4, 3],
  ["D", 5, 5],
] as const;

/** By its name: `1.6` is a class of EN 837-1, `2A` a grade of ASME B40.100. */
const GAUGE_CLASSES: readonly GaugeClass[] = [
  ...EN_837.map(
    ([percent, in_service_percent]): GaugeClass => ({
      name: String(percent),
      source: "EN 837-1:1996, Table 11; in service and hysteresis: Eichordnung, Anlage 16 (superseded), 3.1 to 3.4",
      percent: [percent, percent, percent],
      in_service_percent,
      hysteresis_percent: percent,
    }),
  ),
  ...ASME.map(
    ([name, outer, middle]): GaugeClass => ({
      name,
      source: "ASME B40.100 (from memory, but for grades 4A and D)",
      percent: [outer, middle, outer],
      in_service_percent: null,
      hysteresis_percent: null,
    }),
  ),
];

export const gaugeClassNames: readonly string[] = GAUGE_CLASSES.map((c) => c.name);

export const gaugeClass = (name: string): GaugeClass | null =>
  GAUGE_CLASSES.find((c) => c.name.toLowerCase() === name.trim().toLowerCase()) ?? null;

/** Limit of a class at `percent` of the span. The outer quarters end where the middle half begins, which owns its ends. */
export const limitPercentAt = ({ percent: [lower, middle, upper] }: GaugeClass, percent: number): number =>
  percent < 25 ? lower : percent > 75 ? upper : middle;

/** ISO 8573-1:2010: pressure dew point in degC for water classes 1 to 6, total oil in mg/m3 for oil classes 1 to 4. */
const DEW_POINT_DEGC = [-70, -40, -20, 3, 7, 10] as const;
const OIL_MG_M3 = [0.01, 0.1, 1, 5] as const;

export const dewPointOfClass = (water_class: number): number | null => DEW_POINT_DEGC[water_class - 1] ?? null;
export const oilOfClass = (oil_class: number): number | null => OIL_MG_M3[oil_class - 1] ?? null;

/** Highest pressure dew point of instrument air: 10 degC below the coldest the system gets, and not above 4 degC. */
export const instrumentAirDewPoint = (coldest_degC: number): number => Math.min(coldest_degC - 10, 4);
