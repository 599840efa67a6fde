import { type Observable, timer } from "rxjs";
import { RECORD_FORMAT, type RunEvent } from "../readings/run-event.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { type Milliamp, percentOfSpan } from "../vocabulary/quantities.ts";
import type { Stage } from "../vocabulary/reading.ts";
import { percentOf, pressureAt, spanOf } from "../vocabulary/signal-range.ts";
import { Monitor } from "./monitor.ts";
import type { Live, RunOutput } from "./run-output.ts";
import { DEFAULT_POLICY, type RunPolicy, type RunRequest } from "./run-request.ts";
import { first, type Script } from "./script.ts";
import { createAdjustingRule, createRule } from "./settling/create-rule.ts";
import type { SettlingRule } from "./settling/settling-rule.ts";

/** So many of the last ramps tell the lag. */
const LAGS_KEPT = 7;

/** A record that could not be kept. */
export class NotKept extends Error {
  readonly fault: Fault;

  constructor(fault: Fault) {
    super(fault.message);
    this.fault = fault;
  }
}

/** What every part of a run works with. One is made for each run. */
export class RunContext {
  readonly request: RunRequest;
  readonly policy: RunPolicy;
  readonly monitor: Monitor;
  /** One rule for the whole run: what it learned while exercising helps at every point. */
  readonly rule: SettlingRule;
  readonly adjustingRule: SettlingRule;
  /** Serial numbers as they were answered at the start, by instrument. */
  serials: ReadonlyMap<string, string> = new Map();
  /** Where the output is expected now, % of span; null until the first command. */
  percent: number | null = null;
  /** Where the safe current leaves the output, % of span; null until the source was made safe once. */
  safe_percent: number | null = null;
  /** What the gauge showed when the output was vented before the first point, kPa; null when it was not. */
  vented_kPa: number | null = null;
  /** What the gauge showed while nothing flowed, in the last search for lift-off; null without one. */
  floor_kPa: number | null = null;
  /** Lags seen after ramps, s: unit, line and gauge together. */
  readonly #lags: number[] = [];
  /** What the source last confirmed. */
  commanded_mA: Milliamp | null = null;
  readonly #emit: (output: RunOutput) => void;
  readonly #events: RunEvent[];

  constructor(request: RunRequest, emit: (output: RunOutput) => void) {
    this.request = request;
    this.policy = { ...DEFAULT_POLICY, ...request.policy };
    this.monitor = new Monitor(request.bench);
    const { settling } = request.plan;
    const resolution_kPa = request.preflight.gauge.resolution_kPa ?? null;
    const resolution_percent =
      resolution_kPa === null ? null : (100 * resolution_kPa) / spanOf(request.transfer.output);
    this.rule = request.createRule?.(settling) ?? createRule(settling, { resolution_percent });
    this.adjustingRule = createAdjustingRule(settling, this.rule);
    this.#emit = emit;
    this.#events = [...(request.resume?.events ?? [])];
  }

  /** A lag that was seen after a ramp. */
  sawLag(lag_s: number): void {
    this.#lags.push(lag_s);
  }

  /** Median of the last lags seen; null before the output was seen to follow a ramp. */
  lag_s(): number | null {
    const last = this.#lags.slice(-LAGS_KEPT).toSorted((a, b) => a - b);
    return last[Math.floor(last.length / 2)] ?? null;
  }

  now_s(): number {
    return (this.request.scheduler.now() - this.request.clock_zero_ms) / 1000;
  }

  /** Emits and keeps an event. Throws `NotKept` when it cannot be kept, which ends the run. */
  record(event: RunEvent): void {
    const output = { type: "record", at_s: this.now_s(), event } as const;
    this.#events.push(event);
    this.#emit(output);
    const fault = this.request.keep?.(output) ?? null;
    if (fault !== null) throw new NotKept(fault);
  }

  /** The last words of a run, which is ending already: whoever keeps them knows when they could not be kept. */
  recordEnding(event: RunEvent): void {
    try {
      this.record(event);
    } catch {
      // The source has been made safe by now, and there is nothing left to end.
    }
  }

  live(live: Live): void {
    this.#emit({ type: "live", at_s: this.now_s(), live });
  }

  /** The head of the record; safe to ask for more than once. */
  beginRecord(): void {
    if (this.#events.length === 0) this.record(this.#head());
  }

  /** The head, when the run ends before it was written. */
  beginRecordEnding(): void {
    if (this.#events.length === 0) this.recordEnding(this.#head());
  }

  #head(): RunEvent {
    const { header, plan, bench } = this.request;
    return { kind: "run-started", format: RECORD_FORMAT, ...header, simulated: bench.simulated, plan };
  }

  /** Events of the last pass through a stage: from its `stage-started` to its end, or to now. */
  stageEvents(stage: Stage): readonly RunEvent[] {
    const from = this.#events.findLastIndex((e) => e.kind === "stage-started" && e.stage === stage);
    const events = this.#events.slice(from);
    const to = events.findIndex((e) => e.kind === "stage-completed" && e.stage === stage);
    return to < 0 ? events : events.slice(0, to + 1);
  }

  /** Whether anything of this kind is in the record. */
  happened(kind: RunEvent["kind"]): boolean {
    return this.#events.some((event) => event.kind === kind);
  }

  wait$(duration_s: number): Observable<0> {
    return timer(Math.max(0, duration_s) * 1000, this.request.scheduler);
  }

  *wait(duration_s: number): Script<void> {
    if (duration_s > 0) yield* first(this.wait$(duration_s));
  }

  toPercent(pressure_kPa: number): number {
    return percentOf(this.request.transfer.output, pressure_kPa as Parameters<typeof percentOf>[1]);
  }

  toPressure(percent: number): number {
    return pressureAt(this.request.transfer.output, percentOfSpan(percent));
  }
}
