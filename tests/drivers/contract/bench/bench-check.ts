import type { Role } from "../../../../drivers/driver-entry.ts";
import type { InstrumentOpener } from "../../../../src/app/open-station.ts";
import type { BenchFile } from "../../../../src/config/bench-file.schema.ts";
import type { CurrentSource, Instrument } from "../../../../src/ports/instruments.ts";
import type { Fault } from "../../../../src/vocabulary/fault.ts";
import type { Milliamp } from "../../../../src/vocabulary/quantities.ts";
import type { Result } from "../../../../src/vocabulary/result.ts";

/** One line of the report: what was looked at, and what was seen. */
export interface BenchFinding {
  readonly check: string;
  readonly outcome: "passed" | "failed" | "skipped";
  readonly saw: string;
}

interface Reading {
  readonly value: object;
  readonly at_s: number;
  readonly raw?: string;
}

/** What a check has at hand: one instrument of the bench in one role, and ways to open it again. */
export interface Bench {
  readonly bench: BenchFile;
  readonly role: Role;
  readonly name: string;
  readonly instrument: Instrument;
  readonly opener: InstrumentOpener;
  readonly now_s: () => number;
  /** Longest time a call may take that finds a sound line, s. */
  readonly limit_s: number;
  /** The current that the source may be driven to and is left at; null: nothing is driven. */
  readonly output: Milliamp | null;
}

export interface BenchCheck {
  readonly name: string;
  /** Why the check does not apply; null when it does. */
  skips?(bench: Bench): string | null;
  /** `drives`: only where outputs were asked for. */
  readonly drives?: boolean;
  run(bench: Bench): Promise<Omit<BenchFinding, "check">>;
}

export const passed = (saw: string) => ({ outcome: "passed" as const, saw });
export const failed = (saw: string) => ({ outcome: "failed" as const, saw });

export const readOf = (instrument: Instrument): Promise<Result<Reading, Fault>> =>
  "read" in instrument
    ? (instrument as Instrument & { read(): Promise<Result<Reading, Fault>> }).read()
    : (instrument as CurrentSource).readBack();

export const numberOf = (reading: Reading): number =>
  Number(Object.values(reading.value).find((part) => typeof part === "number"));

export const UNIT: Readonly<Record<Role, string>> = {
  source: "mA",
  gauge: "kPa",
  "supply-gauge": "kPa",
  "current-meter": "mA",
  ambient: "degC",
  humidity: "%RH",
  barometer: "kPa",
};

export const shown = (reading: Reading, role: Role): string =>
  `${Number(numberOf(reading).toPrecision(7))} ${UNIT[role]}`;

export const took = async <T>(bench: Bench, call: Promise<T>): Promise<{ readonly result: T; readonly s: number }> => {
  const from_s = bench.now_s();
  const result = await call;
  return { result, s: bench.now_s() - from_s };
};

export const ms = (s: number): string => `${Math.round(1000 * s)} ms`;
