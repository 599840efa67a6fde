import type { Transport } from "../../../drivers/links/transport.ts";

/** How a fake answers from now on. */
export type Manner = "good" | "silent" | "garbage" | "refuses" | "late";

/**
 * The far end of a wire for the contract: it hears and says bytes. Names are those of the profile; numbers are in the
 * units of the profile.
 */
export interface FakeInstrument {
  readonly transport: Transport;
  manner: Manner;
  /** Exception code of a refusal, for instruments that have such codes. */
  exception: number;
  /** How late a late answer comes, s after the request. */
  late_s: number;
  /** After this many more requests the fake falls silent; a write among them is carried out, its answer lost. */
  silentAfter: number | null;
  put(name: string, value: number): void;
  get(name: string): number;
  putText(part: "maker" | "model" | "serial_number", text: string): void;
  /** Sets what a setting shows: a word of its meanings, or a number. */
  putSetting(name: string, shows: string | number): void;
  /** Sets one bit of the status, where there is one. */
  putStatus(bits: number): void;
  /** False: the instrument takes no writes but answers as if it did. */
  obeys: boolean;
  /** Whether each reading of the count register shows a new number. */
  counting: boolean;
  /** Requests heard that write something. */
  readonly writes: number;
  readonly requests: number;
  pullOut(): void;
  plugIn(): void;
}
