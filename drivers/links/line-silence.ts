import type { Timers } from "../../src/ports/timers.ts";

/** A microsecond of slack for floating point, or a timer that fires on the dot would be armed again without end. */
const SLACK_S = 1e-6;

/** `waiting`: kept silent until nothing can be on its way; `emptying`: the system's buffers are being thrown away. */
export type Quarantine = "none" | "waiting" | "emptying";

/** Since when a wire has been silent, and whether trouble keeps it so. */
export class LineSilence {
  readonly #timers: Timers;
  readonly #gap_s: number;
  readonly #quiet_s: number;
  #since_s = Number.NEGATIVE_INFINITY;
  #cancelWake: (() => void) | null = null;
  quarantine: Quarantine = "none";

  constructor(timers: Timers, settings: { readonly gap_s: number; readonly quiet_after_trouble_s: number }) {
    this.#timers = timers;
    this.#gap_s = settings.gap_s;
    this.#quiet_s = settings.quiet_after_trouble_s;
  }

  /** Something was heard just now, or may have been on the wire until now. */
  broken(): void {
    this.#since_s = Math.max(this.#since_s, this.#timers.now_s());
  }

  /** Our own bytes are on the wire for that long. */
  speaking(for_s: number): void {
    this.#since_s = this.#timers.now_s() + for_s;
  }

  /** The last byte of an answer has come: whatever was thought to be on the wire is not. */
  begins(): void {
    this.#since_s = this.#timers.now_s();
  }

  /** True when the wire has been silent for as long as is due now; else `wake` is called when it will have been. */
  isKept(wake: () => void): boolean {
    const from_s = this.#since_s + (this.quarantine === "none" ? this.#gap_s : this.#quiet_s);
    if (this.#timers.now_s() >= from_s - SLACK_S) return true;
    if (this.#cancelWake === null) {
      this.#cancelWake = this.#timers.after(Math.max(0, from_s - this.#timers.now_s()), () => {
        this.#cancelWake = null;
        wake();
      });
    }
    return false;
  }

  close(): void {
    this.#cancelWake?.();
  }
}
