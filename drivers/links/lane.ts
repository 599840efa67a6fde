import type { LinkCounts } from "../../src/ports/link.ts";
import type { Timers } from "../../src/ports/timers.ts";
import type { Fault } from "../../src/vocabulary/fault.ts";
import type { Second } from "../../src/vocabulary/quantities.ts";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";
import { type Received, toHex } from "../frames/answer-receiver.ts";
import { LineKeeper, within } from "./line-keeper.ts";
import { LineSilence } from "./line-silence.ts";
import { cannotOpen, closed, damaged, down, foreign, lost, neverQuiet, noTurn, silence } from "./link-faults.ts";
import { type Job, type LaneAnswer, type LaneRequest, RequestQueue } from "./request-queue.ts";
import type { Pipe, Transport } from "./transport.ts";

export interface LaneSettings {
  readonly name: string;
  readonly timers: Timers;
  /** Instant on the run's clock, for the stamp of an answer. */
  readonly stamp: () => Second;
  readonly answer_deadline_s: number;
  /** Silence kept after trouble; longer than the slowest late answer of any instrument on the line. */
  readonly quiet_after_trouble_s: number;
  /** Silence before each request: 3.5 characters on a serial line, 0 on a socket. */
  readonly gap_s: number;
  /** Time of one character on the wire, added to the deadline for each byte sent and awaited. */
  readonly character_s: number;
  /**
   * `stay-quiet`: a late answer would arrive on a reopened port as well, so the line is kept silent.
   * `open-anew`: a new socket cannot receive what was sent to the old one.
   */
  readonly after_trouble: "stay-quiet" | "open-anew";
}

type Trouble = Extract<Received, { readonly kind: "trouble" }>;

const nothingToCancel = (): void => undefined;

const DISCARD_DEADLINE_S = 0.2;
/** Requests in a row that end in trouble before a port that stays open is opened anew all the same. */
const SUSPECT_AFTER = 3;
/** How long a request waits for its turn, in units of one worst exchange. */
const PATIENCE_EXCHANGES = 5;

/**
 * The one owner of a port: a queue with one request in flight. Every wait has its own deadline here, because neither the
 * serial nor the socket layer promises to call back. `generation` grows when a line is lost, so that a request made
 * before the loss can never go out after it, to whatever instrument is plugged in by then.
 */
export class Lane {
  readonly #settings: LaneSettings;
  readonly #where: string;
  readonly #keeper: LineKeeper;
  readonly #queue: RequestQueue;
  readonly #silence: LineSilence;
  readonly #wake = (): void => this.#pump();
  readonly #counts = {
    opens: 0,
    requests: 0,
    answers: 0,
    silences: 0,
    line_errors: 0,
    foreign_answers: 0,
    losses: 0,
    stray_bytes: 0,
    quarantines: 0,
  };
  #closed = false;
  #generation = 1;
  /** Requests in a row that ended in trouble. */
  #troubles = 0;
  #flight: Job | null = null;
  #cancelDeadline: () => void = nothingToCancel;
  readonly #awaitingOpen: ((result: Result<void, Fault>) => void)[] = [];

  constructor(settings: LaneSettings, transport: Transport) {
    this.#settings = settings;
    this.#where = transport.where;
    this.#queue = new RequestQueue(settings.timers);
    this.#silence = new LineSilence(settings.timers, settings);
    this.#keeper = new LineKeeper(settings.timers, transport, {
      opened: () => this.#opened(),
      failed: () => this.#openFailed(),
      bytes: (bytes) => this.#received(bytes),
      lost: (reason) => this.#lost(reason),
    });
  }

  get generation(): number {
    return this.#generation;
  }

  /** Name and port, for messages. */
  get label(): string {
    return `${this.#settings.name} (${this.#where})`;
  }

  counts(): Omit<LinkCounts, "refusals"> {
    return { ...this.#counts };
  }

  open(): Promise<Result<void, Fault>> {
    if (this.#closed) return Promise.resolve(err(closed(`line ${this.label}`)));
    if (this.#keeper.pipe !== null) return Promise.resolve(ok(undefined));
    return new Promise((resolve) => {
      this.#awaitingOpen.push(resolve);
      this.#keeper.start();
    });
  }

  request(request: LaneRequest): Promise<Result<LaneAnswer, Fault>> {
    if (this.#closed) return Promise.resolve(err(closed(request.who)));
    return new Promise((resolve) => {
      const job = this.#queue.add(request, resolve);
      this.#keeper.start();
      this.#pump();
      // Most requests go out at once; only what waits needs patience.
      if (job.waits) this.#bePatient(job);
    });
  }

  #bePatient(job: Job): void {
    const { answer_deadline_s, quiet_after_trouble_s } = this.#settings;
    const exchange_s = answer_deadline_s + quiet_after_trouble_s;
    const isDown = this.#keeper.everOpened && this.#keeper.pipe === null;
    const patience_s = isDown ? exchange_s : PATIENCE_EXCHANGES * exchange_s;
    this.#queue.limit(job, patience_s, () => this.#whyNotAsked(job, patience_s));
  }

  /** Settles what one owner has waiting or in flight; the wire is left to finish by itself. */
  release(owner: object): void {
    this.#queue.release(owner);
    const flight = this.#flight;
    if (flight?.owner === owner) flight.settle(err(closed(flight.who)));
  }

  async close(): Promise<void> {
    this.#closed = true;
    this.#silence.close();
    this.#settleAll((job) => closed(job.who));
    for (const resolve of this.#awaitingOpen.splice(0)) resolve(err(closed(`line ${this.label}`)));
    await this.#keeper.close();
  }

  #whyNotAsked(job: Job, waited_s: number): Fault {
    const { pipe, everOpened, downBecause } = this.#keeper;
    if (pipe === null) {
      return everOpened
        ? down(job.who, this.label, downBecause.reason)
        : cannotOpen(this.label, downBecause.reason, downBecause.remedy);
    }
    return this.#silence.quarantine === "none"
      ? noTurn(job.who, this.label, waited_s)
      : neverQuiet(job.who, this.label);
  }

  #settleAll(why: (job: Job) => Fault): void {
    const flight = this.#takeFlight();
    flight?.settle(err(why(flight)));
    this.#queue.refuse(why);
  }

  #takeFlight(): Job | null {
    const flight = this.#flight;
    this.#flight = null;
    this.#cancelDeadline();
    return flight;
  }

  #opened(): void {
    this.#counts.opens += 1;
    this.#silence.broken();
    for (const resolve of this.#awaitingOpen.splice(0)) resolve(ok(undefined));
    this.#pump();
  }

  #openFailed(): void {
    const { downBecause, everOpened } = this.#keeper;
    const refusal = cannotOpen(this.label, downBecause.reason, downBecause.remedy);
    for (const resolve of this.#awaitingOpen.splice(0)) resolve(err(refusal));
    // What waits for a line that was never open need not wait longer.
    if (!everOpened) this.#queue.refuse(() => refusal);
  }

  #lost(reason: string): void {
    this.#counts.losses += 1;
    this.#newEra(reason);
  }

  /** The opening is over: what is in flight or waits fails now, and later requests belong to the next opening. */
  #newEra(reason: string): void {
    this.#generation += 1;
    this.#troubles = 0;
    if (this.#silence.quarantine === "emptying") this.#silence.quarantine = "waiting";
    this.#settleAll((job) => lost(job.who, this.label, reason));
  }

  #openAnew(reason: string): void {
    this.#keeper.leave(reason);
    this.#newEra(`${reason}, so it is opened anew`);
  }

  /** Sends the next request if there is one and the line may be spoken on. */
  #pump(): void {
    const { pipe } = this.#keeper;
    if (pipe === null || this.#flight !== null || this.#queue.waiting === 0) return;
    const { quarantine } = this.#silence;
    if (quarantine === "emptying" || !this.#silence.isKept(this.#wake)) return;
    if (quarantine === "waiting") {
      this.#empty(pipe);
      return;
    }
    const job = this.#queue.next();
    if (job !== null) this.#send(pipe, job);
  }

  /** The line has been quiet long enough: what the system still holds is thrown away, and asking may go on. */
  #empty(pipe: Pipe): void {
    this.#silence.quarantine = "emptying";
    void within(this.#settings.timers, DISCARD_DEADLINE_S, pipe.discard()).then(() => {
      if (this.#keeper.pipe !== pipe) return;
      if (this.#silence.quarantine === "emptying") this.#silence.quarantine = "none";
      this.#pump();
    });
  }

  #send(pipe: Pipe, job: Job): void {
    const { timers, answer_deadline_s, character_s } = this.#settings;
    this.#flight = job;
    this.#counts.requests += 1;
    const leaving_s = job.bytes.length * character_s;
    this.#silence.speaking(leaving_s);
    const answering_s = job.receiver === null ? 0 : answer_deadline_s + job.awaited * character_s;
    this.#cancelDeadline = timers.after(leaving_s + answering_s, () => this.#deadline(job));
    pipe.write(job.bytes);
  }

  #deadline(job: Job): void {
    if (this.#flight !== job) return;
    if (job.receiver === null) {
      this.#finish(job, new Uint8Array(0), 0);
      return;
    }
    const came = job.receiver.atDeadline();
    if (came !== null) {
      this.#unusable(job, came);
      return;
    }
    this.#counts.silences += 1;
    this.#fail(job, silence(job.who, this.#settings.answer_deadline_s), "an answer did not come");
  }

  #received(bytes: Uint8Array): void {
    this.#silence.broken();
    const flight = this.#flight;
    if (flight === null || flight.receiver === null) {
      this.#strayed(bytes.length);
      return;
    }
    const received = flight.receiver.take(bytes);
    if (received.kind === "answer") this.#finish(flight, received.bytes, received.stray);
    else if (received.kind === "trouble") this.#unusable(flight, received);
  }

  #finish(job: Job, bytes: Uint8Array, stray: number): void {
    this.#takeFlight();
    if (job.receiver !== null) {
      // Whoever answers has heard the whole request: the line has been silent since the last byte of the answer, even
      // where bytes travel faster than the speed that was set (an adapter over a network, a pseudo-terminal).
      this.#silence.begins();
      this.#counts.answers += 1;
      this.#troubles = 0;
      this.#keeper.proven();
    }
    const at_s = this.#settings.stamp();
    job.settle(ok({ bytes, at_s, raw: toHex(bytes), generation: this.#generation }));
    if (stray > 0) this.#strayed(stray);
    this.#pump();
  }

  #unusable(job: Job, trouble: Trouble): void {
    const isForeign = trouble.code === "foreign-answer";
    this.#counts[isForeign ? "foreign_answers" : "line_errors"] += 1;
    const named = isForeign ? foreign(job.who, trouble.reason) : damaged(job.who, trouble.reason);
    this.#fail(job, named, "an answer could not be used");
  }

  #fail(job: Job, named: Fault, reason: string): void {
    this.#takeFlight();
    this.#troubles += 1;
    job.settle(err(named));
    this.#beware(reason);
    this.#pump();
  }

  /** Bytes that answer nothing: what follows them cannot be trusted either until the line is quiet. */
  #strayed(count: number): void {
    this.#counts.stray_bytes += count;
    this.#beware("bytes came that answer nothing");
  }

  /** A late answer looks like a right one, so from here on nothing is asked until none can be on its way. */
  #beware(reason: string): void {
    if (this.#settings.after_trouble === "open-anew") {
      this.#openAnew(reason);
      return;
    }
    if (this.#silence.quarantine === "none") this.#counts.quarantines += 1;
    this.#silence.quarantine = "waiting";
    this.#silence.broken();
    if (this.#troubles >= SUSPECT_AFTER) this.#openAnew("several requests in a row got no good answer");
  }
}
