import type { Timers } from "../../src/ports/timers.ts";
import type { Pipe, Transport } from "./transport.ts";

/** Pauses before each new attempt, s; the last one repeats. Starts again at the first after a good answer. */
const BACKOFF_S = [0.02, 0.05, 0.1, 0.2, 0.5, 1, 2] as const;
const OPEN_DEADLINE_S = 3;
const CLOSE_DEADLINE_S = 1;

export interface KeeperEvents {
  opened(): void;
  /** An attempt failed; the next one follows by itself. */
  failed(): void;
  bytes(bytes: Uint8Array): void;
  /** An open line went away by itself; the next attempt follows by itself. */
  lost(reason: string): void;
}

type State =
  | { readonly kind: "idle" | "opening" | "closed" }
  | { readonly kind: "open"; readonly pipe: Pipe }
  | { readonly kind: "pausing"; readonly cancel: () => void };

/** Waits for work that may never settle, but no longer than this. */
export const within = (timers: Timers, limit_s: number, work: Promise<unknown>): Promise<void> =>
  new Promise((resolve) => {
    const cancel = timers.after(limit_s, resolve);
    const done = (): void => {
      cancel();
      resolve();
    };
    work.then(done, done);
  });

/** Opens a line and opens it again whenever it goes away. Events of an earlier opening are never let through. */
export class LineKeeper {
  readonly #timers: Timers;
  readonly #transport: Transport;
  readonly #events: KeeperEvents;
  #state: State = { kind: "idle" };
  /** Number of the attempt now in force; whatever carries another number is stale. */
  #era = 0;
  #attempt = 0;
  #everOpened = false;
  #downBecause: { readonly reason: string; readonly remedy?: string } = { reason: "it has not been opened yet" };

  constructor(timers: Timers, transport: Transport, events: KeeperEvents) {
    this.#timers = timers;
    this.#transport = transport;
    this.#events = events;
  }

  get pipe(): Pipe | null {
    return this.#state.kind === "open" ? this.#state.pipe : null;
  }

  get isIdle(): boolean {
    return this.#state.kind === "idle";
  }

  get everOpened(): boolean {
    return this.#everOpened;
  }

  /** Why the line is not open. */
  get downBecause(): { readonly reason: string; readonly remedy?: string } {
    return this.#downBecause;
  }

  start(): void {
    if (this.#state.kind === "idle") this.#openNow();
  }

  /** A good answer came: the next trouble starts with the shortest pause again. */
  proven(): void {
    this.#attempt = 0;
  }

  /** Gives the present opening up and tries again after a pause. */
  leave(reason: string): void {
    const { pipe } = this;
    if (pipe === null) return;
    this.#downBecause = { reason };
    void pipe.close();
    this.#pause();
  }

  async close(): Promise<void> {
    const state = this.#state;
    this.#state = { kind: "closed" };
    this.#era += 1;
    if (state.kind === "pausing") state.cancel();
    if (state.kind === "open") await within(this.#timers, CLOSE_DEADLINE_S, state.pipe.close());
  }

  #openNow(): void {
    this.#state = { kind: "opening" };
    this.#era += 1;
    const era = this.#era;
    const current = (): boolean => era === this.#era;
    const giveUp = this.#timers.after(OPEN_DEADLINE_S, () => {
      if (current()) this.#failed({ reason: `the system did not open it within ${OPEN_DEADLINE_S} s` });
    });
    const opening = this.#transport.open({
      bytes: (bytes) => {
        if (current()) this.#events.bytes(bytes);
      },
      closed: (reason) => {
        if (current()) this.#gone(reason);
      },
    });
    void opening.then((result) => {
      giveUp();
      if (current()) {
        if (result.ok) this.#opened(result.value);
        else this.#failed(result.fault);
      } else if (result.ok) void result.value.close();
    });
  }

  #opened(pipe: Pipe): void {
    this.#state = { kind: "open", pipe };
    this.#everOpened = true;
    this.#events.opened();
  }

  #failed(why: { readonly reason: string; readonly remedy?: string }): void {
    this.#downBecause = why;
    this.#pause();
    this.#events.failed();
  }

  #gone(reason: string): void {
    const { pipe } = this;
    if (pipe === null) {
      this.#failed({ reason });
      return;
    }
    this.leave(reason);
    this.#events.lost(reason);
  }

  #pause(): void {
    this.#era += 1;
    const delay_s = BACKOFF_S[Math.min(this.#attempt, BACKOFF_S.length - 1)] ?? 2;
    this.#attempt += 1;
    this.#state = { kind: "pausing", cancel: this.#timers.after(delay_s, () => this.#openNow()) };
  }
}
