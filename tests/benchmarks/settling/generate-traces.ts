import { createWriteStream } from "node:fs";
import { pathToFileURL } from "node:url";
import { createGzip } from "node:zlib";
import { PneumaticPlant, step_s } from "./pneumatic-plant.ts";
import { SeededRandom } from "./seeded-random.ts";
import { type Trace, type Truth, traceLine } from "./trace.ts";
import { drawKind, drawUnit, type UnitKind, type UnitParameters } from "./unit-family.ts";

const record_s = 240;
const steps = Math.round(record_s / step_s);
const settled_s = 60;

export interface UnitOrder {
  readonly seed: number;
  readonly index: number;
  readonly kind?: UnitKind;
  /** Accuracy asked of a reading, % of span; the oracle depends on it. */
  readonly limit?: number;
}

/** The gauge with its own update clock, noise, display digit and bad data; what a poll sees is its last update. */
export class Gauge {
  readonly #unit: UnitParameters;
  readonly #random: SeededRandom;
  readonly #slow = new Float64Array(5);
  #next = 0;
  /** Count of updates so far; two polls with the same count see the same sample. */
  updates = 0;
  shown = 0;

  constructor(unit: UnitParameters, random: SeededRandom) {
    this.#unit = unit;
    this.#random = random;
    for (let i = 0; i < 5; i++) this.#slow[i] = random.normal();
    this.#next = random.uniform(0, unit.gaugeUpdate);
  }

  #spike(): number {
    return this.#random.chance(0.3)
      ? Number.NaN
      : (this.#random.chance(0.5) ? 1 : -1) * this.#random.logUniform(0.2, 5);
  }

  #round(value: number): number {
    const q = this.#unit.resolution;
    return Math.round(value / q) * q;
  }

  observe(time: number, pressure: number): void {
    if (time < this.#next) return;
    const unit = this.#unit;
    const random = this.#random;
    this.#next += unit.gaugeUpdate;
    this.updates++;
    let slow = 0;
    // Five terms from 0.5 s to 128 s with equal variance make a spectrum close to 1/f.
    for (let i = 0; i < 5; i++) {
      const keep = Math.exp(-unit.gaugeUpdate / (0.5 * 4 ** i));
      const now = keep * (this.#slow[i] ?? 0) + Math.sqrt(1 - keep * keep) * random.normal();
      this.#slow[i] = now;
      slow += now;
    }
    let value = pressure + unit.whiteNoise * random.normal() + (unit.flickerNoise * slow) / Math.sqrt(5);
    if (random.next() < unit.outlierRate / 2) {
      const spike = this.#spike();
      value = Number.isNaN(spike) ? -25 : value + spike;
    }
    this.shown = this.#round(value);
  }

  /** One poll; NaN when it timed out. */
  poll(): number {
    const random = this.#random;
    if (random.next() < this.#unit.timeoutRate) return Number.NaN;
    if (random.next() < this.#unit.outlierRate / 2) {
      const spike = this.#spike();
      return Number.isNaN(spike) ? -25 : this.#round(this.shown + spike);
    }
    return this.shown;
  }
}

/** All records of one made-up unit: the exercise stroke and then every point of its run, memory and creep carried over. */
export function makeUnit(order: UnitOrder): Trace[] {
  const random = new SeededRandom(order.seed, order.index);
  const kind = order.kind ?? drawKind(random);
  const unit = drawUnit(kind, random);
  const plant = new PneumaticPlant(unit, random);
  const gauge = new Gauge(unit, random);
  const limit = order.limit ?? 0.05;
  const name = `s${order.seed}-u${order.index}`;
  const pressure = new Float64Array(steps);
  const target = new Float64Array(steps);
  const traces: Trace[] = [];
  let from = 0;
  let clock = 0;
  for (const [seq, setpoint] of [100, ...unit.setpoints].entries()) {
    plant.command(setpoint);
    let endless = Number.NaN;
    const period = 1 / unit.pollHz;
    const polls = Math.floor(record_s * unit.pollHz);
    const times = new Float64Array(polls);
    const readings = new Float64Array(polls);
    const counts = new Int32Array(polls);
    let poll = 0;
    let pollAt = period * (0.5 + random.uniform(-0.1, 0.1));
    for (let i = 0; i < steps; i++) {
      plant.advance();
      const t = (i + 1) * step_s;
      pressure[i] = plant.gauge;
      target[i] = plant.target;
      if (i === Math.round(settled_s / step_s) - 1) endless = plant.endlessTarget;
      gauge.observe(clock + t, plant.gauge);
      while (poll < polls && pollAt <= t) {
        times[poll] = pollAt;
        readings[poll] = gauge.poll();
        counts[poll] = gauge.updates;
        poll++;
        pollAt = period * (poll + 0.5 + random.uniform(-0.1, 0.1));
      }
    }
    clock += record_s;
    traces.push({
      id: `${name}-${seq}`,
      kind,
      plant: name,
      seq,
      role: seq === 0 ? "exercise" : "point",
      from,
      setpoint,
      resolution: unit.resolution,
      sample_times_s: times.subarray(0, poll),
      readings: readings.subarray(0, poll),
      truth: truthOf(pressure, target, endless, unit, limit, times.subarray(0, poll), counts),
    });
    from = setpoint;
  }
  return traces;
}

function truthOf(
  pressure: Float64Array,
  target: Float64Array,
  endless: number,
  unit: UnitParameters,
  limit: number,
  times: Float64Array,
  counts: Int32Array,
): Truth {
  const at60 = Math.round(settled_s / step_s) - 1;
  let lo = Number.POSITIVE_INFINITY;
  let hi = Number.NEGATIVE_INFINITY;
  for (let i = at60; i < steps; i++) {
    const y = target[i] ?? 0;
    if (y < lo) lo = y;
    if (y > hi) hi = y;
  }
  let high = Number.NEGATIVE_INFINITY;
  let low = Number.POSITIVE_INFINITY;
  for (let i = steps / 2; i < steps; i++) {
    const p = pressure[i] ?? 0;
    if (p > high) high = p;
    if (p < low) low = p;
  }
  let last = steps - 1;
  while (last >= 0) {
    const p = pressure[last] ?? 0;
    if (p > hi + limit / 2 || p < lo - limit / 2) break;
    last--;
  }
  const drifts = unit.kind === "drifting" && hi - lo > limit;
  const band = last >= steps - 1500 || drifts ? null : (last + 1) * step_s;
  return {
    p_inf: drifts ? null : endless,
    p_at_60s: pressure[at60] ?? 0,
    ref_lo: lo,
    ref_hi: hi,
    settles: band !== null,
    t_band_s: band,
    oracle_time_s: band === null ? null : oracleTime(band, unit, limit, times, counts),
    swing: (high - low) / 2,
    drift_per_min: unit.driftPerMin,
  };
}

/** Time of the n-th distinct gauge sample after the band is reached for good; n gives a standard error of a sixth of the limit. */
function oracleTime(
  band: number,
  unit: UnitParameters,
  limit: number,
  times: Float64Array,
  counts: Int32Array,
): number | null {
  const wanted = Math.max(3, Math.ceil((unit.whiteNoise / (limit / 6)) ** 2));
  let seen = 0;
  let before = -1;
  for (let i = 0; i < times.length; i++) {
    const t = times[i] ?? 0;
    if (t < band) {
      before = counts[i] ?? -1;
      continue;
    }
    if (counts[i] === before) continue;
    before = counts[i] ?? -1;
    seen++;
    if (seen >= wanted || t > band + 20) return t;
  }
  return null;
}

async function main(args: readonly string[]): Promise<void> {
  const option = (name: string, standard: string): string => {
    const at = args.indexOf(`--${name}`);
    return at >= 0 ? (args[at + 1] ?? standard) : standard;
  };
  const out = option("out", "");
  if (out === "")
    throw new Error("say where the traces go: --out FILE.jsonl.gz [--seed 1] [--units 50] [--kind mixed]");
  const kind = option("kind", "");
  const zip = createGzip();
  zip.pipe(createWriteStream(out));
  for (let index = 0; index < Number(option("units", "50")); index++) {
    const order = { seed: Number(option("seed", "1")), index, ...(kind === "" ? {} : { kind: kind as UnitKind }) };
    for (const trace of makeUnit(order)) zip.write(`${traceLine(trace)}\n`);
  }
  await new Promise<void>((done) => zip.end(done));
}

if (import.meta.url === pathToFileURL(process.argv[1] ?? "").href) await main(process.argv.slice(2));
