import type { Arrival } from "../../src/ports/link.ts";
import type { Timers } from "../../src/ports/timers.ts";
import type { Fault } from "../../src/vocabulary/fault.ts";
import { err, type Result } from "../../src/vocabulary/result.ts";
import type { AnswerReceiver } from "../frames/answer-receiver.ts";
import { closed } from "./link-faults.ts";
import { fairTurns } from "./turns.ts";

export interface LaneAnswer extends Arrival {
  readonly bytes: Uint8Array;
}

export interface LaneRequest {
  /** Whose turn it uses up. */
  readonly owner: object;
  /** Instrument and place, for messages. */
  readonly who: string;
  readonly bytes: Uint8Array;
  /** `null`: no answer is due; the request is done when its bytes have left. */
  readonly receiver: AnswerReceiver | null;
  /** Bytes that the answer will have about, for the deadline. */
  readonly awaited: number;
}

/** A request with whoever waits for its answer. */
export interface Job extends LaneRequest {
  settle(result: Result<LaneAnswer, Fault>): void;
  /** In the queue; neither sent nor settled. */
  waits: boolean;
  cancelPatience: () => void;
}

const nothingToCancel = (): void => undefined;

/** What waits for its turn on a line, each with a limit to its patience. Whatever leaves the queue has none any more. */
export class RequestQueue {
  readonly #timers: Timers;
  readonly #turns = fairTurns<object, Job>();

  constructor(timers: Timers) {
    this.#timers = timers;
  }

  get waiting(): number {
    return this.#turns.waiting;
  }

  add(request: LaneRequest, settle: Job["settle"]): Job {
    const { owner, who, bytes, receiver, awaited } = request;
    const job: Job = { owner, who, bytes, receiver, awaited, settle, waits: true, cancelPatience: nothingToCancel };
    this.#turns.add(owner, job);
    return job;
  }

  /** Gives up on a job that is still here after `patience_s`. */
  limit(job: Job, patience_s: number, why: () => Fault): void {
    job.cancelPatience = this.#timers.after(patience_s, () => {
      this.#turns.remove(job.owner, job);
      job.settle(err(why()));
    });
  }

  /** The job whose turn it is; it is about to be sent. */
  next(): Job | null {
    const job = this.#turns.next();
    if (job !== null) leave(job);
    return job;
  }

  /** Settles everything that waits, or what one owner has waiting. */
  refuse(why: (job: Job) => Fault, owner?: object): void {
    for (const job of this.#turns.drain(owner)) {
      leave(job);
      job.settle(err(why(job)));
    }
  }

  /** An owner gives up what it has waiting. */
  release(owner: object): void {
    this.refuse((job) => closed(job.who), owner);
  }
}

const leave = (job: Job): void => {
  job.waits = false;
  job.cancelPatience();
};
