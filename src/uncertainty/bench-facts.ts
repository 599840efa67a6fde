/**
 * What has to be known about the bench and about one captured point before its uncertainty can be worked out. Plain
 * numbers in internal units; whoever reads the files converts. What is left out is not in U, and the result says so.
 */

/** A limit or an uncertainty in two parts: `fixed` in the quantity's unit, `of_reading` as a share of the reading. */
export interface TwoPart {
  readonly fixed: number;
  readonly of_reading: number;
}

export const fixedPart = (fixed: number): TwoPart => ({ fixed, of_reading: 0 });

export const atReading = (limit: TwoPart, reading: number): number =>
  limit.fixed + limit.of_reading * Math.abs(reading);

export interface CertificateFacts {
  readonly number: string;
  /** Expanded uncertainty of a corrected indication, in the unit of the quantity. */
  readonly U: TwoPart;
  readonly k: number;
  /** Infinity when left out. */
  readonly degrees_of_freedom?: number;
  /** Name of the standard when two instruments were calibrated by the same one; the certificate itself when left out. */
  readonly cause?: string;
  /** Correlation of the certificate's error between two points of the range, 0 to 1; unknown when left out. */
  readonly correlation?: number;
}

/** An effect that is not corrected: at most `limit` for each kelvin away from the temperature of calibration. */
export interface TemperatureEffect {
  readonly limit_per_K: TwoPart;
  /** Largest distance from the temperature of calibration during the run, K. */
  readonly difference_K: number;
}

interface InstrumentFacts {
  readonly name: string;
  readonly certificate: CertificateFacts;
  /** Display digit, in the unit of the quantity. */
  readonly resolution?: number;
  /** Largest drift since the calibration, both ways, with where it is known from. */
  readonly drift?: { readonly limit: TwoPart; readonly known_from: string };
  readonly temperature?: TemperatureEffect;
}

/** The reference gauge. Limits in kPa. */
export interface GaugeFacts extends InstrumentFacts {
  /** Largest difference between rising and falling indication of the gauge itself, kPa. */
  readonly hysteresis?: number;
  /** Largest effect of its position when mounted otherwise than calibrated, kPa, both ways. */
  readonly mounting?: number;
  /** Set when a person reads a dial: value of a division and the share of it that can be read. */
  readonly dial?: { readonly division_kPa: number; readonly readable_share: number };
}

/** Who says what current flowed: an independent meter, or the source itself. Limits in mA. */
export interface CurrentFacts extends InstrumentFacts {
  readonly role: "meter" | "source";
}

/** Column of gas between the reference level of the gauge and that of the unit. */
export interface HeadFacts {
  /** Height of the gauge above the unit, m. */
  readonly height_m: number;
  /** Half-width of that height, m. */
  readonly height_half_width_m: number;
  /** Density of the gas in the tube less that of the air around it, kg/m3. */
  readonly density_difference: number;
  /** Half-width of that density, kg/m3. */
  readonly density_half_width: number;
  /** Whether the readings were corrected for it; if not, the whole column counts as a limit. */
  readonly corrected: boolean;
}

export interface BenchFacts {
  readonly gauge: GaugeFacts;
  readonly current: CurrentFacts;
  readonly head?: HeadFacts;
  /** Zero of the vented gauge before and after the run, kPa. */
  readonly gauge_zero_kPa?: { readonly before: number; readonly after: number };
  /** Smallest step that the unit's own output makes, kPa, when it is known. */
  readonly unit_step_kPa?: number;
}

/** One point as captured. */
export interface PointFacts {
  readonly ordinal: number;
  readonly output_kPa: number;
  readonly applied_mA: number;
  /** Slope of the ideal output at the applied current, kPa per mA; sign as it is. */
  readonly slope_kPa_per_mA: number;
  /** Standard deviation of the readings that were averaged, kPa, their number, and how many independent ones they are worth. */
  readonly spread_kPa: number;
  readonly n: number;
  readonly n_effective: number;
  /** Standard uncertainty of the mean as the capture gave it, with the movement still to come, kPa. */
  readonly u_settling_kPa: number;
  /** Standard uncertainty for creep of the unit that goes on after the wait, as it was learned from the unit, kPa. */
  readonly u_creep_kPa?: number;
  /** Standard deviation from cycle to cycle beyond the scatter within one capture, kPa. */
  readonly between_cycles?: {
    readonly s_kPa: number;
    readonly degrees_of_freedom: number;
    /** How many cycles the reported error is the mean of. */
    readonly averaged_over: number;
    readonly known_from: string;
  };
  /** Difference between rising and falling output at this point, kPa; only when the mean of both is what is reported. */
  readonly direction_span_kPa?: number;
}

/** A figure for text: six significant digits, no trailing zeros. */
export const figureText = (value: number): string => String(Number(value.toPrecision(6)));
