import { logDecrement, type StepFigures, stepFigures } from "../analysis/dynamics.ts";
import { isothermalLeak_Pa_m3_per_s, molarLeak_mol_per_s } from "../analysis/leak.ts";
import type { PlainData } from "../readings/plain-data.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { parseNumber } from "../vocabulary/number-text.ts";
import { parseQuantityOf } from "../vocabulary/quantity-text.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { shortNumber } from "./text-table.ts";

/** What a column of times x and a column y say of movement. Times in the unit of x, which for a leak is seconds. */
export interface DynamicsChoice {
  readonly log_decrement?: boolean;
  /** A step from one level to another, given at a time, and the band about its end as a share of it. */
  readonly step?: { readonly from: number; readonly to: number; readonly at: number; readonly band: number };
  /** A closed volume at a steady temperature; y is its absolute pressure in Pa. */
  readonly leak?: { readonly volume_m3: number; readonly temperature_K: number };
}

export interface PlainDynamics {
  readonly log_decrement: ReturnType<typeof logDecrement>;
  readonly step: StepFigures | null;
  readonly leak: { readonly Pa_m3_per_s: number; readonly mol_per_s: number } | null;
}

const refused = (message: string, remedy: string): Result<never, Fault> =>
  err(fault("refused", "bad-file", message, { remedy }));

/** null where nothing of the kind was asked for. */
export const plainDynamics = (data: PlainData, choice: DynamicsChoice): Result<PlainDynamics | null, Fault> => {
  const { log_decrement: wanted, step, leak } = choice;
  if (wanted !== true && step === undefined && leak === undefined) return ok(null);
  if (data.x.length !== 1)
    return refused("Movement needs a column x of times beside y.", "Give the file one column x.");
  const trace = data.rows.map((r) => ({ at: r.x[0] ?? Number.NaN, y: r.y }));
  if (trace.some((s, i) => s.at <= (trace[i - 1]?.at ?? Number.NEGATIVE_INFINITY))) {
    return refused("The times x do not rise from row to row.", "Put the rows in the order of time, each time once.");
  }
  const peaks = wanted === true ? logDecrement(trace.map((s) => ({ at_s: s.at, overshoot: s.y }))) : null;
  if (wanted === true && peaks === null) {
    return refused("These are no peaks that die out.", "Give two or more, above 0, the last below the first.");
  }
  const [first, last] = [trace[0], trace.at(-1)];
  if (leak !== undefined && (first === undefined || last === undefined || trace.length < 2)) {
    return refused("A leak needs a pressure at two times.", "Give the file two rows or more.");
  }
  const gas = (absolute_Pa: number) => ({ absolute_Pa, temperature_K: leak?.temperature_K ?? Number.NaN });
  return ok({
    log_decrement: peaks,
    step:
      step === undefined
        ? null
        : stepFigures(
            trace.map((s) => ({ at_s: s.at, value: s.y })),
            { step_at_s: step.at, start: step.from, final: step.to, band_share: step.band },
          ),
    leak:
      leak === undefined || first === undefined || last === undefined
        ? null
        : {
            Pa_m3_per_s: isothermalLeak_Pa_m3_per_s(leak.volume_m3, first.y, last.y, last.at - first.at),
            mol_per_s: molarLeak_mol_per_s(leak.volume_m3, gas(first.y), gas(last.y), last.at - first.at),
          },
  });
};

const badOption = (message: string, remedy: string): Result<never, Fault> =>
  err(fault("refused", "bad-option", message, { remedy }));

/** `0 to 1 at 0`, with the band apart. */
export const stepOf = (text: string, band: number): Result<NonNullable<DynamicsChoice["step"]>, Fault> => {
  const [, ...parts] = /^\s*(\S+)\s+to\s+(\S+)\s+at\s+(\S+)\s*$/u.exec(text) ?? [];
  const [from, to, at] = parts.map((part) => parseNumber(part)).flatMap((n) => (n.ok ? [n.value] : []));
  return from !== undefined && to !== undefined && at !== undefined && from !== to
    ? ok({ from, to, at, band })
    : badOption(`"${text}" is no step.`, 'Write the two levels and the time, such as --step "0 to 1 at 0".');
};

const VOLUMES: Readonly<Record<string, number>> = { m3: 1, l: 1e-3, ml: 1e-6, cm3: 1e-6 };
const ABSOLUTE_ZERO_DEGC = -273.15;

/** `2 l at 20 degC`. */
export const leakOf = (text: string): Result<NonNullable<DynamicsChoice["leak"]>, Fault> => {
  const [, number = "", unit = "", warmth = ""] = /^\s*(\S+)\s+(\S+)\s+at\s+(.+)$/u.exec(text) ?? [];
  const volume = parseNumber(number);
  const temperature = parseQuantityOf("temperature", warmth);
  const factor = VOLUMES[unit];
  return volume.ok && volume.value > 0 && factor !== undefined && temperature.ok
    ? ok({ volume_m3: volume.value * factor, temperature_K: temperature.value.degC - ABSOLUTE_ZERO_DEGC })
    : badOption(`"${text}" is no volume at a temperature.`, 'Write it as --leak "2 l at 20 degC" (l, ml or m3).');
};

/** The same in words. */
export const dynamicsLines = (dynamics: PlainDynamics | null): readonly string[] => {
  if (dynamics === null) return [];
  const { log_decrement: ring, step, leak } = dynamics;
  const time = (value: number | null): string => (value === null ? "not shown by these values" : shortNumber(value));
  return [
    "",
    ...(ring === null
      ? []
      : [
          `Peaks that die out: period ${shortNumber(ring.period_s)}, logarithmic decrement ${shortNumber(ring.delta)}, damping ratio ${shortNumber(ring.zeta)}, natural angular frequency ${shortNumber(ring.omega_n)}`,
        ]),
    ...(step === null
      ? []
      : [
          `Step: to 63.2 % ${time(step.t63_s)}, to 86.5 % ${time(step.t86_s)}, to 90 % ${time(step.t90_s)}, from 10 to 90 % ${time(step.rise_s)}, inside the band for good ${time(step.settling_s)} (in units of x); overshoot ${shortNumber(100 * step.overshoot_share, 4)} % of the step`,
        ]),
    ...(leak === null
      ? []
      : [
          `Leak into the volume (x in s, y absolute in Pa, steady temperature): ${shortNumber(leak.Pa_m3_per_s)} Pa m3/s, ${shortNumber(leak.mol_per_s)} mol/s (40 CFR 1065.644)`,
        ]),
  ];
};
