/**
 * Branded numbers: one internal unit a quantity, so that a pressure can never be handed where a current is wanted.
 * Conversion from and to other units happens at the edges only (`units.ts`, `quantity-text.ts`).
 */
declare const unit: unique symbol;
type In<U extends string> = number & { readonly [unit]: U };

/** Pressure, internal unit kilopascal. Whether gauge, absolute or differential travels beside it as `PressureMode`. */
export type Kilopascal = In<"kPa">;
/** Electric current, internal unit milliampere. */
export type Milliamp = In<"mA">;
/** Duration or instant on the run's clock, internal unit second. */
export type Second = In<"s">;
/** Temperature, internal unit degree Celsius. */
export type Celsius = In<"degC">;
/** Percent of the output span, where 100 is the upper range value. */
export type PercentOfSpan = In<"%span">;
/** Relative humidity, percent. */
export type PercentHumidity = In<"%RH">;

export const kPa = (value: number): Kilopascal => value as Kilopascal;
export const mA = (value: number): Milliamp => value as Milliamp;
export const seconds = (value: number): Second => value as Second;
export const celsius = (value: number): Celsius => value as Celsius;
export const percentOfSpan = (value: number): PercentOfSpan => value as PercentOfSpan;
export const percentHumidity = (value: number): PercentHumidity => value as PercentHumidity;

/** What a pressure is measured against; kept with every pressure. */
export type PressureMode = "gauge" | "absolute" | "differential";
