import type { GaugeMemory } from "./gauge-memory.ts";
import { creepFrom, slowCount, slowTau } from "./modes.ts";
import type { UnitMemory } from "./unit-memory.ts";

const seconds = (value: number): string => `${value < 1 ? value.toFixed(2) : value.toFixed(1)} s`;
const percent = (value: number): string => `${value.toFixed(Math.abs(value) < 0.1 ? 4 : 2)} % of span`;

/** What was learned about the gauge and the unit, for the record. */
export function inWords(unit: UnitMemory, gauge: GaugeMemory): readonly string[] {
  const words: string[] = [];
  if (gauge.noiseFreedom > 0)
    words.push(`Gauge: one reading scatters by ${percent(Math.sqrt(gauge.variance))} (standard deviation).`);
  if (Number.isFinite(gauge.updatePeriod)) words.push(`Gauge: a new value every ${seconds(gauge.updatePeriod)}.`);
  const tau = unit.leadingTau();
  if (tau !== null) words.push(`Unit: the last part of a step dies out with a time constant of about ${seconds(tau)}.`);
  if (unit.exercised) {
    let creep = 0;
    let tail = 0;
    for (let s = 0; s < slowCount; s++) {
      const left = (unit.slow.share[s] ?? 0) * Math.exp(-10 / (slowTau[s] ?? 1));
      if (s < creepFrom) tail += left;
      else creep += left;
    }
    if (Math.abs(creep) > 1e-4) {
      const way = creep < 0 ? "still creeps on by" : "creeps back by";
      words.push(`Unit: 10 s after a step it ${way} ${(100 * Math.abs(creep)).toFixed(3)} % of the step.`);
    }
    if (Math.abs(tail) > 2e-4) {
      words.push(`Unit: 10 s after a step a slow tail of ${(100 * Math.abs(tail)).toFixed(3)} % of the step is left.`);
    }
  }
  if (unit.ringing !== null) {
    words.push(
      `Unit: it overshoots and rings with a period of ${seconds(unit.ringing.period)}, dying out in ${seconds(unit.ringing.envelope)}.`,
    );
  }
  if (unit.unsteady !== null) {
    words.push(
      `Unit: not steady in the exercise stroke, about ${percent(unit.unsteady.amplitude)} to either side: no reading of it is called settled.`,
    );
  }
  if (unit.driftSuspect !== null) {
    words.push(
      unit.drifts
        ? `Unit: it drifts by ${unit.driftSuspect.toFixed(3)} % of span a minute; readings need a level stretch of 20 s or more.`
        : "Unit: a drift could not be told from creep; readings need a level stretch of 8 s or more.",
    );
  }
  if (unit.movedAfterReading !== null) {
    words.push(
      `Unit: when a next command was given it stood ${percent(Math.abs(unit.movedAfterReading))} from the reading just taken: that reading is in doubt.`,
    );
  }
  if (unit.caution_s > 0) {
    words.push(`Unit: it stood and then moved again; readings have to stand ${seconds(unit.caution_s)} longer.`);
  }
  return words;
}
