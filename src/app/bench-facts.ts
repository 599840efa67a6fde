import type { BenchFile } from "../config/bench-file.schema.ts";
import type { MeasuredCurrent, MeasuredPressure } from "../config/measured-quantity.schema.ts";
import { referencesOf } from "../config/reference-values.ts";
import type { GaugeZero } from "../readings/gauge-zero.ts";
import {
  type BenchFacts,
  type CurrentFacts,
  fixedPart,
  type GaugeFacts,
  type HeadFacts,
  type TwoPart,
} from "../uncertainty/bench-facts.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import type { QuantityOf } from "../vocabulary/quantity-text.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";

type Limit = QuantityOf<"pressure" | "current" | "percent-of-span" | "percent-of-reading">;

/** A limit in the unit of the quantity; a %span is of the instrument's own range. */
const part = (limit: Limit, span: number): TwoPart => {
  switch (limit.kind) {
    case "pressure":
      return fixedPart(limit.kPa);
    case "current":
      return fixedPart(limit.mA);
    case "percent-of-span":
      return fixedPart((limit.percent / 100) * span);
    case "percent-of-reading":
      return { fixed: 0, of_reading: limit.percent / 100 };
  }
};

const uncertified = (name: string, quantity: string): Result<never, Fault> =>
  err(
    fault("refused", "bad-file", `${name} has no certificate for its ${quantity} in the bench file.`, {
      means: "Without it the results have no uncertainty and no traceability.",
      remedy: `Write the certificate of ${name} under instruments.${name}.${quantity}.certificate.`,
    }),
  );

type Certified<M extends MeasuredPressure | MeasuredCurrent> = M & {
  readonly certificate: NonNullable<M["certificate"]>;
};

/** What gauge and current reference have in common. */
const common = (name: string, measured: Certified<MeasuredPressure> | Certified<MeasuredCurrent>, span: number) => {
  const { certificate, drift, temperature_effect: effect } = measured;
  return {
    name,
    certificate: { number: certificate.number, U: part(certificate.U, span), k: certificate.k },
    ...(drift === undefined ? {} : { drift: { limit: part(drift.limit, span), known_from: drift.known_from } }),
    ...(effect === undefined
      ? {}
      : { temperature: { limit_per_K: part(effect.per_kelvin, span), difference_K: effect.difference.K } }),
  };
};

const gaugeFacts = (name: string, measured: Certified<MeasuredPressure>): GaugeFacts => {
  const span = measured.upper.kPa - measured.lower.kPa;
  const { resolution, hysteresis, position_effect: position, dial } = measured;
  return {
    ...common(name, measured, span),
    ...(resolution === undefined ? {} : { resolution: resolution.kPa }),
    ...(hysteresis === undefined ? {} : { hysteresis: part(hysteresis, span).fixed }),
    ...(position === undefined ? {} : { mounting: part(position, span).fixed }),
    ...(dial === undefined ? {} : { dial: { division_kPa: dial.division.kPa, readable_share: dial.readable_share } }),
  };
};

const currentFacts = (
  name: string,
  role: CurrentFacts["role"],
  measured: Certified<MeasuredCurrent>,
): CurrentFacts => ({
  ...common(name, measured, measured.upper.mA - measured.lower.mA),
  role,
  ...(measured.resolution === undefined ? {} : { resolution: measured.resolution.mA }),
});

/** Specific gas constant of dry air, J/(kg K): 8.314462618 J/(mol K) over 28.9655 g/mol (CIPM-2007). */
const DRY_AIR = 287.05;
const ROOM_K = 293.15;

/**
 * Gas column between gauge and unit, not corrected. The gas in the tube is denser than the air around it by its gauge
 * pressure over (R T), at most at the highest output. Source: ideal gas law at 20 degC.
 */
const headFacts = (height_m: number, highest_kPa: number): HeadFacts => ({
  height_m,
  height_half_width_m: 0,
  density_difference: (Math.abs(highest_kPa) * 1e3) / (DRY_AIR * ROOM_K),
  density_half_width: 0,
  corrected: false,
});

/** What is known of the unit under test besides its range, and of the run, for the uncertainty. */
export interface UnitFacts {
  /** Highest output, gauge, kPa. */
  readonly highest_kPa: number;
  readonly step_kPa?: number;
  /** Vented readings of the gauge before and after the run. */
  readonly gauge_zero?: GaugeZero;
}

/**
 * Zero of the gauge over the run. A limit that is stated covers what two readings do not see between them; it gives way
 * only to a change that was seen and is larger. Either way: the whole width between two zeros is twice the limit.
 */
const zeroFacts = (measured: MeasuredPressure, seen: GaugeZero | undefined): Pick<BenchFacts, "gauge_zero_kPa"> => {
  const { zero_drift } = measured;
  const width = zero_drift === undefined ? null : 2 * part(zero_drift, measured.upper.kPa - measured.lower.kPa).fixed;
  // An absolute gauge that is vented shows the barometer, and the weather is no drift of its zero.
  const told = measured.mode === "absolute" ? undefined : seen;
  if (told !== undefined && Math.abs(told.after - told.before) >= (width ?? 0)) return { gauge_zero_kPa: told };
  return width === null ? {} : { gauge_zero_kPa: { before: 0, after: width } };
};

/** What the references of a station contribute to the uncertainty, in internal units. */
export const benchFacts = (bench: BenchFile, station: string, unit?: UnitFacts): Result<BenchFacts, Fault> => {
  const { pressure, current } = referencesOf(bench, station);
  const slots = bench.stations[station];
  const gauge = pressure?.measured.certificate;
  if (pressure === null || gauge === undefined) return uncertified(slots?.gauge ?? "the gauge", "pressure");
  const loop = current?.measured.certificate;
  if (current === null || loop === undefined) return uncertified(slots?.source ?? "the source", "current");
  const height = slots?.height_difference?.m;
  return ok({
    gauge: gaugeFacts(pressure.name, { ...pressure.measured, certificate: gauge }),
    current: currentFacts(current.name, current.from === "current-meter" ? "meter" : "source", {
      ...current.measured,
      certificate: loop,
    }),
    ...(height === undefined ? {} : { head: headFacts(height, unit?.highest_kPa ?? bench.limits.pressure.kPa) }),
    ...zeroFacts(pressure.measured, unit?.gauge_zero),
    ...(unit?.step_kPa === undefined ? {} : { unit_step_kPa: unit.step_kPa }),
  });
};
