import { Conditioner } from "./detector/conditioner.ts";
import { GaugeMemory } from "./detector/gauge-memory.ts";
import { PointJudge, type Reading } from "./detector/point-judge.ts";
import { Series } from "./detector/series.ts";
import { type DetectorSettings, type Resolved, resolveSettings } from "./detector/settings.ts";
import type { SoakFindings } from "./detector/soak.ts";
import { localVariance, rangeOfMeans, robustVariance } from "./detector/statistics.ts";
import { analyseStroke, learnFromStroke, noticeStall, type Stroke } from "./detector/study.ts";
import { UnitMemory } from "./detector/unit-memory.ts";
import { findDrift, findHunting, swingsSince } from "./detector/unrest.ts";
import { inWords } from "./detector/words.ts";
import type { PointStart, SettlingRule, SettlingSample, SettlingVerdict } from "./settling-rule.ts";

export type { DetectorSettings } from "./detector/settings.ts";

/**
 * A rule that takes a reading as soon as the movement still to come is small enough, and never before. It learns the gauge
 * and the unit from exercise strokes and from point to point of one run. Values in % of output span, times in s.
 */
export const createDetector = (settings: DetectorSettings = {}): SettlingRule =>
  new Detector(resolveSettings(settings));

/** Readings in a row with a time that does not advance, after which the stream is called dead. */
const mostBackward = 2000;

/** An approach that takes no longer than this counts as a step. */
const STEP_s = 0.3;

class Detector implements SettlingRule {
  readonly #settings: Resolved;
  readonly #gauge: GaugeMemory;
  readonly #unit = new UnitMemory();
  readonly #stream: Conditioner;
  readonly #series = new Series();
  readonly #judge: PointJudge;
  readonly #accept = (time: number, value: number): void => {
    this.#series.push(time, value);
    this.#fresh = true;
    if (this.#series.length === 2) this.#checkHeld();
  };
  #fresh = false;
  #start: PointStart = { at_s: 0, from: 0, to: 0, role: "point" };
  #begun = false;
  #final: SettlingVerdict | null = null;
  #now = 0;
  /** The reading of the point before, slow movement taken off. */
  #last: { readonly value: number; readonly u: number; readonly step: number } | null = null;
  #nextUnrest = 0;
  #nextSoakLook = 0;
  #studied = true;

  constructor(settings: Resolved) {
    this.#settings = settings;
    this.#gauge = new GaugeMemory(settings.resolution, settings.updatePeriod_s);
    this.#stream = new Conditioner(this.#gauge);
    this.#judge = new PointJudge(this.#series, this.#unit, this.#gauge, settings);
  }

  begin(start: PointStart): void {
    if (this.#begun) this.#endPoint();
    const last = this.#final;
    const follows = last?.kind === "settled" && this.#start.role === "point" && start.from === this.#start.to;
    this.#last = follows
      ? { value: last.value - this.#unit.slow.at(last.to_s), u: last.u, step: this.#start.to - this.#start.from }
      : null;
    this.#start = sane(start);
    this.#begun = true;
    this.#final = null;
    this.#series.clear();
    this.#stream.begin(this.#start.at_s);
    this.#judge.begin(this.#start.at_s, this.#start.from, this.#start.to);
    this.#now = this.#start.at_s;
    this.#nextUnrest = this.#start.at_s + 4;
    this.#nextSoakLook = this.#start.at_s + this.#settings.exerciseShortest_s;
    this.#studied = start.role !== "exercise";
    this.#unit.slow.beginStep(this.#start.at_s, this.#start.to - this.#start.from);
  }

  take(sample: SettlingSample): SettlingVerdict {
    if (!this.#begun) this.begin({ at_s: sample.time_s, from: 0, to: 0, role: "point" });
    if (this.#final !== null) return this.#final;
    this.#fresh = false;
    this.#stream.take(sample.time_s, sample.value ?? Number.NaN, this.#accept);
    if (sample.time_s > this.#now) this.#now = sample.time_s;
    const now = this.#now;
    const elapsed = now - this.#start.at_s;
    const silent = now - this.#stream.freshAt;
    const still = Math.abs(this.#start.to - this.#start.from) > 1 ? now - this.#stream.changedAt : 0;
    if (silent > this.#patience() || this.#stream.backward > mostBackward) {
      return this.#finish({ kind: "no-new-data", for_s: silent });
    }
    // One and the same value since the command, though the pressure should have moved: the gauge or its link is dead.
    if (this.#stream.changes === 0 && still > this.#patience()) {
      return this.#finish({ kind: "no-new-data", for_s: still });
    }
    const final = this.#start.role === "exercise" ? this.#watchExercise(now, elapsed) : this.#watchPoint(now, elapsed);
    if (final !== null) return this.#finish(final);
    if (elapsed >= this.#settings.timeout_s) return this.#finish(this.#giveUp(elapsed));
    return this.#judge.waiting;
  }

  learned(): readonly string[] {
    return inWords(this.#unit, this.#gauge);
  }

  #leastWait(): number {
    return Math.max(this.#settings.minimumDwell_s, this.#start.least_s ?? 0);
  }

  #patience(): number {
    const period = this.#gauge.updatePeriod;
    return Math.max(20, Number.isFinite(period) ? 12 * period : 0);
  }

  #finish(verdict: SettlingVerdict): SettlingVerdict {
    this.#final = verdict;
    return verdict;
  }

  #endPoint(): void {
    if (!this.#studied) this.#study(analyseStroke(this.#stroke(), this.#gauge));
    this.#unit.slow.endStep();
  }

  #watchPoint(now: number, elapsed: number): SettlingVerdict | null {
    if (!this.#fresh || !this.#judge.arrived(elapsed)) return null;
    if (now >= this.#nextUnrest) {
      this.#nextUnrest = now + 2;
      const unrest = this.#unrest(now, elapsed);
      if (unrest !== null) return unrest;
    }
    if (this.#unit.unsteady !== null || elapsed < this.#leastWait()) return null;
    const reading = this.#judge.look(now, true);
    if (reading === null) return null;
    this.#judge.learn();
    noticeStall(this.#series, this.#judge.passed60, this.#unit, this.#gauge, this.#settings.limit);
    this.#unit.learnWait(this.#start.to - this.#start.from, elapsed);
    return settled(reading, this.#creepAfter(reading));
  }

  /** A stroke is held until it has told enough: level for long enough, and a drift told from creep, or the longest hold. */
  #watchExercise(now: number, elapsed: number): SettlingVerdict | null {
    if (now < this.#nextSoakLook) return null;
    this.#nextSoakLook = now + 5;
    const last = elapsed >= this.#settings.exerciseLongest_s;
    if (!last && !this.#calm(now)) return null;
    const found = analyseStroke(this.#stroke(), this.#gauge);
    if (!last && (found === null || Math.abs(found.drift) + 2 * found.driftSd > 0.05)) return null;
    this.#study(found);
    if (this.#series.length === 0) return null;
    const variance = this.#gauge.variance;
    const n = Math.min(this.#series.length, this.#judge.readingsWanted(variance));
    const u = Math.sqrt(variance / n + this.#gauge.wander);
    return settled({
      value: this.#series.trailingMean(n),
      u,
      residual: 0,
      n,
      nEffective: Math.max(1, Math.min(n, variance / u ** 2)),
      from: this.#series.at(this.#series.length - n),
      to: now,
    });
  }

  /** Whether means over 3 s have kept together for 25 s. */
  #calm(now: number): boolean {
    const s = this.#series;
    const { range, fewest } = rangeOfMeans(s, now - 25, 3);
    const variance = localVariance(s, Math.min(60, s.length - s.since(now - 25)), this.#gauge.resolution);
    return range < 0.4 * this.#settings.limit + 0.5 * this.#gauge.resolution + 3 * Math.sqrt(variance / fewest);
  }

  #stroke(): Stroke {
    return { series: this.#series, start: this.#start, held: this.#now - this.#start.at_s };
  }

  #study(found: SoakFindings | null): void {
    this.#studied = true;
    if (found !== null) learnFromStroke(this.#stroke(), found, this.#unit, this.#gauge, this.#settings);
  }

  /**
   * Before the new command takes effect the gauge still shows the point before: was the reading taken there right? It is no
   * evidence when the first readings already follow the new step.
   */
  #checkHeld(): void {
    const last = this.#last;
    // On a ramp the output has followed by the time of the last command, and nothing is shown of the point before.
    if (last === null || (this.#start.ramp_s ?? 0) > STEP_s) return;
    const first = this.#series.valueAt(0);
    const second = this.#series.valueAt(1);
    const slow = this.#unit.slow.leftBy(this.#series.at(0));
    const moved = first - slow - last.value;
    // A ramped set point has carried the output along before its last command: that is no movement of the point before.
    if (Math.abs(moved) > Math.max(1, 0.1 * Math.abs(this.#start.to - this.#start.from))) return;
    const noise = 3 * Math.sqrt(this.#gauge.variance) + this.#gauge.resolution / 2;
    // Creep may go on long after a reading and is no fault of it.
    const creep = (Math.abs(last.step) > 50 ? 0.0025 : 0.0012) * Math.abs(last.step);
    const allowed = 1.1 * this.#settings.limit + noise + last.u + creep;
    if (Math.abs(moved) < allowed || (second - slow - last.value) * Math.sign(moved) < allowed) return;
    const stillThere = Math.abs(second - first) < 0.2 * Math.abs(moved) + noise;
    if (!stillThere && moved * (this.#start.to - this.#start.from) >= 0) return;
    this.#unit.movedAfterReading = moved;
    this.#unit.caution_s = Math.min(30, Math.max(8, 2 * this.#unit.caution_s));
  }

  // ---- what never settles ---------------------------------------------------------------------------------------

  #unrest(now: number, elapsed: number): SettlingVerdict | null {
    const unit = this.#unit;
    const known = unit.unsteady !== null;
    // Jumps of a square swing must not count as noise of the gauge.
    const noise = Math.sqrt(Math.min(this.#gauge.variance, robustVariance(this.#series, 60, this.#gauge.resolution)));
    // A unit that stood still at the end of its exercise may swing for a while and settle yet: look longer.
    const span = known ? 20 : unit.exercised ? 25 : 10;
    const from = Math.max(now - 90, swingsSince(this.#series, now, elapsed));
    const hunting =
      elapsed > 6 ? findHunting(this.#series, from, this.#settings.limit, noise, known ? 5 : 7, span) : null;
    if (hunting !== null) {
      return { kind: "hunting", centre: hunting.centre, amplitude: hunting.amplitude, period_s: hunting.period };
    }
    const wait = unit.drifts ? 25 : Math.abs(this.#start.to - this.#start.from) > 30 ? 95 : 50;
    if (elapsed <= wait || known) return null;
    // Creep after a large step is as fast as a small drift.
    const bound = 0.055 + (unit.drifts ? 0 : 0.0005 * Math.abs(this.#start.to - this.#start.from));
    const rate = findDrift(this.#series, 35, this.#gauge.variance, bound, this.#slowAt);
    return rate === null ? null : this.#drifting(rate);
  }

  readonly #slowAt = (time: number): number => this.#unit.slow.at(time);

  #creepAfter(reading: Reading): number {
    const { slow } = this.#unit;
    const after = Math.max(reading.to, this.#start.at_s + WAITED_FOR_S);
    return Math.hypot(slow.creepAt(after), slow.creepDoubt(after));
  }

  #drifting(rate: number): SettlingVerdict {
    const unit = this.#unit;
    unit.drifts = unit.drifts || unit.driftSeen;
    unit.driftSeen = true;
    unit.driftSuspect = rate;
    unit.levelWanted = 2;
    return { kind: "drifting", rate_per_min: rate };
  }

  #giveUp(elapsed: number): SettlingVerdict {
    if (this.#series.length === 0) return { kind: "no-new-data", for_s: elapsed };
    const rate =
      this.#unit.unsteady === null ? findDrift(this.#series, 60, this.#gauge.variance, 0.055, this.#slowAt) : null;
    return rate === null ? { kind: "not-settled", waited_s: elapsed } : this.#drifting(rate);
  }
}

/** The value is that of a wait of this length; what creeps on later is told apart. s. */
const WAITED_FOR_S = 60;

const settled = (reading: Reading, u_creep?: number): SettlingVerdict => ({
  kind: "settled",
  value: reading.value,
  u: reading.u,
  u_residual: reading.residual,
  ...(u_creep === undefined ? {} : { u_creep }),
  n_effective: reading.nEffective,
  from_s: reading.from,
  to_s: reading.to,
});

/** Nonsense in a start is replaced so that every later comparison means something; time zero is then the run's own. */
function sane(start: PointStart): PointStart {
  const level = (value: number, other: number): number =>
    Number.isFinite(value) ? value : Number.isFinite(other) ? other : 0;
  return {
    at_s: Number.isFinite(start.at_s) ? start.at_s : 0,
    from: level(start.from, start.to),
    to: level(start.to, start.from),
    role: start.role,
    ...(start.ramp_s === undefined ? {} : { ramp_s: start.ramp_s }),
    ...(start.least_s === undefined ? {} : { least_s: start.least_s }),
  };
}
