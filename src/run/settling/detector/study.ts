import type { PointStart } from "../settling-rule.ts";
import type { GaugeMemory } from "./gauge-memory.ts";
import { rehearse } from "./rehearsal.ts";
import type { Series } from "./series.ts";
import type { Resolved } from "./settings.ts";
import { analyseSoak, type SoakFindings } from "./soak.ts";
import { findStall } from "./stall.ts";
import { crossing60, localVariance } from "./statistics.ts";
import type { UnitMemory } from "./unit-memory.ts";

/** A stroke held for less tells nothing that holds at the points: most of it is the movement itself. */
const leastHold_s = 25;
/** A stroke held for less tells how the unit moves, but not what goes on late: creep, drift, unrest. */
const tellingHold_s = 40;

export interface Stroke {
  readonly series: Series;
  readonly start: PointStart;
  /** How long it was held, s. */
  readonly held: number;
}

/** What a held stroke shows; null when it is too short to tell. */
export function analyseStroke({ series, start, held }: Stroke, gauge: GaugeMemory): SoakFindings | null {
  if (series.length < 20 || held < leastHold_s) return null;
  const late = series.length - series.since(series.at(series.length - 1) - 20);
  const variance = localVariance(series, Math.min(200, late), gauge.resolution);
  const final = series.trailingMean(Math.max(5, late >> 2));
  const origin = crossing60(series, final, start.at_s);
  return analyseSoak(series, origin, start.to - start.from, variance, final, gauge.resolution);
}

/** Remembers what a held stroke showed of the unit and the gauge. */
export function learnFromStroke(
  stroke: Stroke,
  found: SoakFindings,
  unit: UnitMemory,
  gauge: GaugeMemory,
  settings: Resolved,
): void {
  const { series, start } = stroke;
  const step = start.to - start.from;
  const telling = stroke.held >= tellingHold_s;
  gauge.sawNoise(found.variance, 60);
  gauge.sawWander(found.wander, 20);
  if (telling && start.to > 90 && found.final < start.to - 2) unit.ceiling = found.final;
  if (telling && Math.abs(step) > 20) unit.slow.learn(found.share, found.shareSd, found.origin - start.at_s);
  unit.slow.placeStep(found.origin);
  unit.learnTau(found.tauWeight, step, 0.5);
  if (found.ringing !== null) unit.ringing = found.ringing;
  const unsteady = telling && isUnsteady(found, settings.limit, gauge.resolution);
  const died = diedOut(found, settings.limit, gauge.resolution);
  if (unsteady && !died) unit.unsteady = { amplitude: Math.max(found.scatter, found.unrest / 2) };
  if (telling) suspectDrift(found, unit);
  const rehearsed = rehearse(series, unit, gauge, settings, start);
  noticeStall(series, found.origin, unit, gauge, settings.limit);
  // A little of the step is always still to come at a good reading; nothing should come back.
  const digit = gauge.resolution / 2;
  const onward = rehearsed.onward > Math.max(0.9 * settings.limit, 2.5 * rehearsed.u) + digit;
  const backward = rehearsed.backward > Math.max(0.6 * settings.limit, 2.5 * rehearsed.u) + digit;
  // A swing that died out in the stroke will do so at the points: they have to outlast it.
  if ((unsteady && died) || onward || backward) {
    unit.caution_s = Math.max(unit.caution_s, Math.min(60, 1.5 * rehearsed.restless_s + 3));
  }
}

function isUnsteady(found: SoakFindings, limit: number, resolution: number): boolean {
  // A square swing that the gauge samples too seldom looks white but flat-topped; few readings can look so by chance.
  const unlikely = found.kurtosis < (found.readings < 100 ? 1.85 : found.readings < 200 ? 2 : 2.15);
  const flat = unlikely || (found.kurtosis < 2.15 && (found.swing < 0.8 || found.swing > 1.3));
  const swings = found.scatter > Math.hypot(0.38 * limit, 0.5 * resolution) && (found.swing > 1.6 || flat);
  return swings || found.unrest > 0.55 * limit + found.unrestNoise;
}

function diedOut({ scatter, last }: SoakFindings, limit: number, resolution: number): boolean {
  return (
    last.readings >= 12 &&
    last.scatter < Math.max(0.2 * limit, 0.4 * scatter) &&
    last.unrest < 0.3 * limit + Math.min(last.unrestNoise, 0.3 * limit) + resolution / 2
  );
}

function suspectDrift(found: SoakFindings, unit: UnitMemory): void {
  if (Math.abs(found.drift) + 2 * found.driftSd > 0.05) {
    unit.driftSuspect = found.drift;
    unit.levelWanted = 2;
  } else if (Math.abs(found.creepRate) > 0.065) {
    // So fast a creep at the end of the stroke may as well be a drift; one step of another size tells.
    unit.driftSuspect = found.creepRate;
    unit.levelWanted = 1;
  }
  unit.drifts = Math.abs(found.drift) - 3 * found.driftSd > 0.04;
}

/** A unit that stood and moved again will do so at other points, where nobody waits to see it. */
export function noticeStall(
  series: Series,
  passed60: number,
  unit: UnitMemory,
  gauge: GaugeMemory,
  limit: number,
): void {
  if (!Number.isFinite(passed60)) return;
  const from = passed60 + (unit.ringing === null ? 0 : 7 * unit.ringing.envelope);
  const period = gauge.updatePeriod;
  const width = Math.max(0.6, Number.isFinite(period) ? 3 * period : 0);
  const stall = findStall(series, from, width, limit, gauge.variance);
  if (stall !== null) unit.caution_s = Math.max(unit.caution_s, Math.min(60, 1.4 * (stall.to - stall.from)));
}
