import { creepFrom, slowCount, slowTau } from "./modes.ts";

/** Creep as slow as this hides from a stroke of about a minute; how large it may be, share of a step: assumed, no source. */
const UNSEEN_FROM_s = 50;
const UNSEEN = 0.0002;

/** Weight of a start at the command rather than at the response; see below. */
const fromCommand = 0.75;

/**
 * The slow movement of a unit (tails and creep), learned from strokes as a share of the step and carried from step to step.
 * Whether it starts with the command or with the response that follows is not known of a unit: a mean of both is taken off
 * the readings, and a third of the difference stays as doubt. All amounts in % of span, positive when readings lie above their end.
 */
export class SlowMovement {
  /** Share of the step, counted from when the response passed 60 % of it; one entry a slow mode. */
  readonly share = new Float64Array(slowCount);
  readonly shareSd = new Float64Array(slowCount);
  /** How long the learned strokes took to 60 %, s. */
  #rise = 0;
  #learned = false;
  readonly #carried = new Float64Array(slowCount);
  /** All steps up to now as each slow mode still feels them, % of span: what its share of a step is a share of. */
  readonly #felt = new Float64Array(slowCount);
  #carriedAt = Number.NaN;
  #step = 0;
  #stepAt = Number.NaN;
  /** Ratio of the shares counted from the command and from the response, one entry a slow mode. */
  readonly #ratio = new Float64Array(slowCount).fill(1);

  constructor() {
    // What a unit nobody knows may do: 2 % of the step as a tail, 0.12 % as creep.
    for (let s = 0; s < slowCount; s++) this.shareSd[s] = s < creepFrom ? 0.02 : 0.0012;
  }

  get learned(): boolean {
    return this.#learned;
  }

  learn(share: Float64Array, sd: Float64Array, rise: number): void {
    for (let s = 0; s < slowCount; s++) {
      const floor = s < creepFrom ? 0.0003 : 0.0001;
      const now = share[s] ?? 0;
      const nowSd = Math.max(floor, sd[s] ?? 0, 0.2 * Math.abs(now));
      if (!this.#learned) {
        this.share[s] = now;
        this.shareSd[s] = nowSd;
        continue;
      }
      const before = this.share[s] ?? 0;
      const beforeSd = this.shareSd[s] ?? 1;
      const w = beforeSd ** 2 / (beforeSd ** 2 + nowSd ** 2);
      this.share[s] = before + w * (now - before);
      // Two strokes that disagree leave at least half of their difference as doubt.
      this.shareSd[s] = Math.max(Math.sqrt(w) * nowSd, Math.abs(now - before) / 2, floor);
    }
    this.#rise = this.#learned ? (this.#rise + rise) / 2 : rise;
    this.#learned = true;
  }

  /** Time that goes back, as between two records, leaves nothing to carry. */
  beginStep(at: number, step: number): void {
    const gap = at - this.#carriedAt;
    for (let s = 0; s < slowCount; s++) {
      const left = gap >= 0 ? Math.exp(-gap / (slowTau[s] ?? 1)) : 0;
      this.#carried[s] = (this.#carried[s] ?? 0) * left;
      this.#felt[s] = (this.#felt[s] ?? 0) * left + (Number.isFinite(step) ? step : 0);
    }
    this.#carriedAt = at;
    this.#step = step;
    this.#stepAt = Number.NaN;
  }

  /** Says when the response passed 60 % of the step. */
  placeStep(at: number): void {
    this.#stepAt = at;
    const later = this.#rise - (at - this.#carriedAt);
    for (let s = 0; s < slowCount; s++) {
      this.#ratio[s] = this.#learned ? Math.max(0.6, Math.min(1.7, Math.exp(later / (slowTau[s] ?? 1)))) : 1;
    }
  }

  /** Adds the step just done to what later steps still have to carry. */
  endStep(): void {
    if (Number.isNaN(this.#stepAt)) return;
    for (let s = 0; s < slowCount; s++) {
      const age = Math.max(-2, (this.#carriedAt - this.#stepAt) / (slowTau[s] ?? 1));
      this.#carried[s] = (this.#carried[s] ?? 0) + this.#amount(s) * Math.exp(-age);
    }
  }

  #amount(s: number): number {
    return (this.share[s] ?? 0) * this.#step * (1 + fromCommand * ((this.#ratio[s] ?? 1) - 1));
  }

  /** The part that earlier steps left over. */
  leftBy(time: number): number {
    let sum = 0;
    for (let s = 0; s < slowCount; s++) {
      sum += (this.#carried[s] ?? 0) * Math.exp(-(time - this.#carriedAt) / (slowTau[s] ?? 1));
    }
    return sum;
  }

  /** Slow movement that is not over at a time: what the readings are away from where they will end. */
  at(time: number): number {
    return this.#sum(time, 0);
  }

  /** The part of it that is creep. */
  creepAt(time: number): number {
    return this.#sum(time, creepFrom);
  }

  /** Standard deviation of that part: of the shares as they were learned, and of what no stroke of a minute can show. */
  creepDoubt(time: number): number {
    let sum = 0;
    for (let s = creepFrom; s < slowCount; s++) {
      const tau = slowTau[s] ?? 1;
      const felt = (this.#felt[s] ?? 0) * Math.exp(-(time - this.#carriedAt) / tau);
      sum += (felt * Math.max(this.shareSd[s] ?? 0, tau < UNSEEN_FROM_s ? 0 : UNSEEN)) ** 2;
    }
    return Math.sqrt(sum);
  }

  #sum(time: number, first: number): number {
    let sum = 0;
    const placed = !Number.isNaN(this.#stepAt);
    for (let s = first; s < slowCount; s++) {
      const amount = this.#amount(s);
      const carried = this.#carried[s] ?? 0;
      if (Math.abs(amount) + Math.abs(carried) < 2e-4) continue;
      const tau = slowTau[s] ?? 1;
      if (placed) sum += amount * Math.exp(-Math.max(-2, (time - this.#stepAt) / tau));
      sum += carried * Math.exp(-(time - this.#carriedAt) / tau);
    }
    return sum;
  }

  /** Doubt about what is still to come between two times, because the start of the slow movement is not known. */
  doubt(time: number, horizon: number): number {
    if (Number.isNaN(this.#stepAt)) return 0;
    let sum = 0;
    for (let s = 0; s < slowCount; s++) {
      const half = (this.share[s] ?? 0) * this.#step * 0.3 * ((this.#ratio[s] ?? 1) - 1);
      if (Math.abs(half) < 1e-5) continue;
      const tau = slowTau[s] ?? 1;
      const end = s < creepFrom ? 0 : Math.exp(-(horizon - this.#stepAt) / tau);
      sum += half * (Math.exp(-(time - this.#stepAt) / tau) - end);
    }
    return Math.abs(sum);
  }
}
