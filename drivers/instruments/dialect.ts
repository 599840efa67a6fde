import type { Fault } from "../../src/vocabulary/fault.ts";
import type { Second } from "../../src/vocabulary/quantities.ts";
import type { Result } from "../../src/vocabulary/result.ts";

/** A number as the instrument gave it, in the unit of the profile. */
export interface Said {
  readonly value: number;
  readonly unit: string;
  /** What the same registers would be with their words or bytes in another order. */
  readonly otherwise?: readonly { readonly order: string; readonly value: number }[];
}

export interface Spoken {
  readonly values: ReadonlyMap<string, Said>;
  /** What the instrument says is wrong, in words; a reading with any of these counts for nothing. */
  readonly alarms: readonly string[];
  readonly at_s: Second;
  readonly raw: string;
  readonly generation: number;
}

export interface SaidIdentity {
  readonly maker: string;
  readonly model: string;
  readonly serial_number: string;
  readonly generation: number;
}

export interface SaidSetting {
  readonly name: string;
  readonly shows: string;
  readonly wanted: string;
  readonly holds: boolean;
}

/** What differs between instruments that speak registers and those that speak lines; the rest is one code for both. */
export interface Dialect {
  readonly generation: number;
  hasReading(name: string): boolean;
  hasCommand(name: string): boolean;
  unitOfReading(name: string): string | null;
  unitOfCommand(name: string): string | null;
  identity(): Promise<Result<SaidIdentity, Fault>>;
  /** `wanted` replaces what the profile wants of a setting. */
  settings(wanted: Readonly<Record<string, string>>): Promise<Result<readonly SaidSetting[], Fault>>;
  /** Reads named readings, with the status in the same breath where the instrument has one. */
  read(names: readonly string[]): Promise<Result<Spoken, Fault>>;
  /** Writes a number in the unit of the command. Sends before it returns, so that the caller's check of the era holds. */
  send(name: string, value: number): Promise<Result<{ readonly generation: number }, Fault>>;
  /** Asks what a command is set to now. */
  confirm(name: string): Promise<Result<Spoken, Fault>>;
  /** How far what is read back may be from what was sent, in the unit of the command. */
  tolerance(name: string, value: number): number;
  /** s without a new count after which the instrument is stuck; `null` when it does not count. */
  readonly staleAfter_s: number | null;
  close(): void;
}
