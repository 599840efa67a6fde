import type { SeededRandom } from "./seeded-random.ts";
import type { UnitParameters } from "./unit-family.ts";
import { Disturber } from "./unusual.ts";

/** Step of the integration, s. Stiff first-order parts use exact exponentials, so any time constant is stable. */
export const step_s = 0.02;

const atmosphere = 101.3;
const absolute = (p: number): number => atmosphere + 20 + 0.8 * p;
const mid = absolute(50);
/** Output at atmosphere, % of span: nothing goes lower. */
const floor = -25;

/** Flow through an orifice relative to choked flow, critical pressure ratio 0.3 (form of ISO 6358). */
function orifice(ratio: number): number {
  if (ratio <= 0.3) return 1;
  if (ratio >= 1) return 0;
  const x = (ratio - 0.3) / 0.7;
  return Math.sqrt(1 - x * x);
}

/** 1 - exp(-x) for small x >= 0, good to 1e-3 up to x = 3. */
const part = (x: number): number =>
  x > 3 ? 1 - Math.exp(-x) : (x * (1 + (x * x) / 60)) / (1 + x / 2 + (x * x) / 10 + (x * x * x) / 120);

function triangle(phase: number): number {
  const x = phase - Math.floor(phase);
  return x < 0.3 ? -1 + (2 * x) / 0.3 : 1 - (2 * (x - 0.3)) / 0.7;
}

/**
 * One converter with its tubing and gauge as a set of state equations in % of span: dead time, play hysteresis, creep,
 * coarse/fine trim, drift, supply ripple and limit, two lags or an oscillator, a relay filling a volume, tubing, gauge lag,
 * and, where asked, stick-slip hunting or sticking short.
 */
export class PneumaticPlant {
  readonly #p: UnitParameters;
  readonly #random: SeededRandom;
  #time = 0;
  #command = 0;
  #previousCommand = 0;
  #sinceCommand = 1e9;
  #lastH = Number.NaN;
  readonly #plays = [0, 0, 0, 0];
  #static = 0;
  #creep = 0;
  #trim = 0;
  #x1: number;
  #x2: number;
  #relay: number;
  #tube: number;
  #gauge: number;
  #z = 0;
  #h = 0;
  #stuck = 0;
  #stuckFor = 0;
  readonly #phase: number;
  readonly #disturber: Disturber | null;
  readonly #limit: number;
  readonly #fill: number;
  readonly #exhaust: number;
  readonly #supplyAbsolute: number;
  readonly #a: number;
  readonly #b: number;
  readonly #g: number;
  readonly #creepStep: number;
  readonly #trimStep: number;
  /** Quasi-static target without ripple and hunting: what the unit would stand at. */
  target = 0;

  constructor(parameters: UnitParameters, random: SeededRandom) {
    const p = parameters;
    this.#p = p;
    this.#random = random;
    this.#phase = random.next();
    this.#supplyAbsolute = atmosphere + p.supply;
    this.#limit = (p.supply - 2 - 20) / 0.8;
    this.#fill = p.fillRate / (this.#supplyAbsolute * orifice(mid / this.#supplyAbsolute));
    this.#exhaust = (p.exhaustRatio * p.fillRate) / (mid * orifice(atmosphere / mid));
    this.#a = 1 - Math.exp(-step_s / p.lagA);
    this.#b = 1 - Math.exp(-step_s / p.lagB);
    this.#g = 1 - Math.exp(-step_s / p.gaugeTau);
    this.#creepStep = 1 - Math.exp(-step_s / p.creepTau);
    this.#trimStep = 1 - Math.exp(-step_s / p.trimTau);
    this.#static = this.#curve(0);
    this.#creep = this.#static;
    this.#trim = this.#static;
    this.#x1 = this.#x2 = this.#relay = this.#tube = this.#gauge = this.target = this.#static;
    if (p.damping !== null) this.#x2 = 0;
    this.#disturber = p.disturbances === undefined ? null : new Disturber(p.disturbances, random);
    if (p.huntingAmplitude > 0) this.#h = p.huntingAmplitude;
  }

  /** Value the target tends to when creep and trim are done, drift as it is now. */
  get endlessTarget(): number {
    return Math.max(floor, Math.min(this.#static + (this.#p.driftPerMin * this.#time) / 60, this.#limit));
  }

  /** Noise-free gauge output. */
  get gauge(): number {
    return this.#gauge;
  }

  command(value: number): void {
    this.#previousCommand = this.#command;
    this.#command = value;
    this.#sinceCommand = 0;
    this.#disturber?.command();
    if (this.#p.huntingLife < 1e9) {
      this.#h = this.#p.huntingAmplitude;
      this.#z = this.#h;
    }
    if (this.#p.stickShort > 0 && value !== this.#previousCommand && this.#random.chance(0.8)) {
      this.#stuck = Math.sign(value - this.#previousCommand) * this.#p.stickShort * this.#random.uniform(0.8, 1.2);
      this.#stuckFor = this.#p.stickFor * this.#random.uniform(0.8, 1.2);
    }
  }

  #curve(u: number): number {
    const p = this.#p;
    let played = 0;
    let share = 0;
    for (let i = 0; i < 4; i++) {
      const r = 2 ** (i - 1);
      const last = this.#plays[i] ?? 0;
      const now = Math.max(u - r, Math.min(u + r, last));
      this.#plays[i] = now;
      const w = p.playWeights[i] ?? 0;
      played += w * now;
      share += w;
    }
    const hysteretic = (1 - share) * u + played;
    return p.zero + p.gain * hysteretic + 4 * p.bow * (u / 100) * (1 - u / 100);
  }

  advance(): void {
    const p = this.#p;
    this.#time += step_s;
    this.#sinceCommand += step_s;
    const u = this.#sinceCommand > p.deadTime ? this.#command : this.#previousCommand;
    if (u !== this.#lastH) {
      this.#static = this.#curve(u);
      this.#lastH = u;
    }
    const v = this.#static;
    this.#creep += (v - this.#creep) * this.#creepStep;
    this.#trim += (v - this.#trim) * this.#trimStep;
    let y = v - p.creepShare * (v - this.#creep) - p.trimShare * (v - this.#trim) + (p.driftPerMin * this.#time) / 60;
    y += this.#disturber?.lasting(this.#time, this.#sinceCommand) ?? 0;
    this.target = Math.max(floor, Math.min(y, this.#limit));
    y += this.#disturber?.passing(this.#time, this.#sinceCommand) ?? 0;
    if (p.rippleAmplitude > 0) y += p.rippleAmplitude * triangle(p.rippleHz * this.#time + this.#phase);
    if (y > this.#limit) y = this.#limit;
    if (y < floor) y = floor;
    if (this.#stuck !== 0 && u === this.#command) {
      y -= this.#stuck;
      if (Math.abs(this.#relay - y) < 0.5) {
        this.#stuckFor -= step_s;
        if (this.#stuckFor < 0) this.#stuck = 0;
      }
    }

    let x: number;
    if (p.damping !== null) {
      const w = p.naturalRate;
      // Two half steps of the symplectic Euler rule keep the damping right at the highest rates drawn (20 rad/s).
      for (let i = 0; i < 4; i++) {
        this.#x2 += (step_s / 4) * (w * w * (y - this.#x1) - 2 * p.damping * w * this.#x2);
        this.#x1 += (step_s / 4) * this.#x2;
      }
      x = this.#x1;
    } else {
      this.#x1 += (y - this.#x1) * this.#a;
      this.#x2 += (this.#x1 - this.#x2) * this.#b;
      x = this.#x2;
    }
    if (p.huntingAmplitude > 0) x += this.#hunt(y);

    const pressure = absolute(this.#relay);
    const gap = x - this.#relay;
    const rate =
      gap > 0
        ? this.#fill * this.#supplyAbsolute * orifice(pressure / this.#supplyAbsolute)
        : this.#exhaust * pressure * orifice(atmosphere / pressure);
    const size = Math.abs(gap);
    if (size > p.relayBand) this.#relay += Math.sign(gap) * Math.min(rate * step_s, size);
    else this.#relay += gap * part((rate * step_s) / p.relayBand);

    const flow = ((absolute(this.#relay) + absolute(this.#tube)) / (2 * mid)) * (step_s / p.tubingTau);
    this.#tube += (this.#relay - this.#tube) * part(flow);
    this.#gauge += (this.#tube - this.#gauge) * this.#g;
  }

  /** Stick-slip: the integrator winds up until the valve breaks loose and jumps to the other side. */
  #hunt(y: number): number {
    const p = this.#p;
    const amplitude =
      p.huntingLife < 1e9 ? p.huntingAmplitude * Math.exp(-this.#sinceCommand / p.huntingLife) : p.huntingAmplitude;
    if (amplitude < 0.002) return 0;
    const error = Math.max(-2 * amplitude, Math.min(2 * amplitude, y - this.#relay));
    this.#z += 4 * p.huntingHz * error * step_s;
    this.#z = Math.max(-4 * amplitude, Math.min(4 * amplitude, this.#z));
    if (Math.abs(this.#z - this.#h) > 2 * amplitude) {
      this.#h = Math.sign(this.#z - this.#h) * amplitude * (1 + 0.08 * (2 * this.#random.next() - 1));
      this.#z = this.#h;
    }
    return p.huntingLife < 1e9 ? Math.sign(this.#h) * Math.min(Math.abs(this.#h), amplitude) : this.#h;
  }
}
