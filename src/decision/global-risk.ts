import { normalBetween, normalDensity, normalQuantile } from "../uncertainty/statistics/normal.ts";
import { integrate } from "./integrate.ts";

export interface Interval {
  readonly lower: number;
  readonly upper: number;
}

/** What the risk of an item taken at random is worked out from. All in one unit. */
export interface GlobalRiskInput {
  /** Distribution of the true values of the items before measurement: normal. It is an assumption and is stated. */
  readonly prior: { readonly mean: number; readonly sd: number };
  /** Standard uncertainty of the measurement, normal. */
  readonly u: number;
  readonly tolerance: Interval;
  readonly acceptance: Interval;
}

/** Joint probabilities over all items, not conditional on acceptance (JCGM 106:2012, 9.5). */
export interface GlobalRisk {
  /** Probability that an item conforms. */
  readonly conforming: number;
  /** Accepted and yet outside the tolerance. */
  readonly consumer: number;
  /** Rejected and yet inside the tolerance. */
  readonly producer: number;
  /** Probability that an item is accepted: the reliability that is observed. */
  readonly accepted: number;
  readonly stated: string;
}

/** Global consumer's and producer's risk by numerical integration. Source: JCGM 106:2012, eq. (19) to (21), A.4. */
export const globalRisk = ({ prior, u, tolerance, acceptance }: GlobalRiskInput): GlobalRisk => {
  const density = (eta: number): number => normalDensity((eta - prior.mean) / prior.sd) / prior.sd;
  const accepted = (eta: number): number => normalBetween((acceptance.lower - eta) / u, (acceptance.upper - eta) / u);
  const far = 12 * prior.sd;
  const clamp = (x: number): number => Math.max(prior.mean - far, Math.min(prior.mean + far, x));
  const [lower, upper] = [clamp(tolerance.lower), clamp(tolerance.upper)];
  const breaks = [acceptance.lower, acceptance.upper].flatMap((a) => [-8, -3, -1, 0, 1, 3, 8].map((n) => a + n * u));
  breaks.push(...[-6, -3, -1, 0, 1, 3, 6].map((n) => prior.mean + n * prior.sd));
  const wrong = (eta: number): number => density(eta) * accepted(eta);
  const consumer =
    integrate(wrong, prior.mean - far, lower, breaks) + integrate(wrong, upper, prior.mean + far, breaks);
  const right = integrate(wrong, lower, upper, breaks);
  const conforming = normalBetween(
    (tolerance.lower - prior.mean) / prior.sd,
    (tolerance.upper - prior.mean) / prior.sd,
  );
  return {
    conforming,
    consumer,
    producer: Math.max(0, conforming - right),
    accepted: consumer + right,
    stated:
      `true values taken as normal with mean ${prior.mean} and standard deviation ${prior.sd} before the measurement; ` +
      "risks are probabilities over all items",
  };
};

/**
 * Largest consumer's risk over all spreads of the items about the middle of a symmetric tolerance +-limit, for
 * acceptance up to `acceptance`: what holds whatever is known of the items. The risk rises to one top and falls again.
 */
export const worstConsumerRisk = (limit: number, acceptance: number, u: number): number => {
  const at = (log: number): number =>
    globalRisk({
      prior: { mean: 0, sd: limit * Math.exp(log) },
      u,
      tolerance: { lower: -limit, upper: limit },
      acceptance: { lower: -acceptance, upper: acceptance },
    }).consumer;
  return at(topOf(at, Math.log(0.05), Math.log(20)));
};

/** Place of the top of a function that rises to one top and falls again, by golden section. */
const topOf = (f: (x: number) => number, from: number, to: number): number => {
  const GOLDEN = (Math.sqrt(5) - 1) / 2;
  let [a, b] = [from, to];
  while (b - a > 1e-4 * (to - from)) {
    const left = b - GOLDEN * (b - a);
    const right = a + GOLDEN * (b - a);
    if (f(left) > f(right)) b = right;
    else a = left;
  }
  return 0.5 * (a + b);
};

/**
 * Largest consumer's risk when the share of items that are found within +-acceptance is known, however that spread is
 * shared between items and measurement: what an observed reliability is worth without any ratio. Items about the middle.
 */
export const worstRiskAtReliability = (limit: number, acceptance: number, reliability: number): number => {
  const total = acceptance / normalQuantile(0.5 + reliability / 2);
  const at = (angle: number): number =>
    globalRisk({
      prior: { mean: 0, sd: total * Math.cos(angle) },
      u: total * Math.sin(angle),
      tolerance: { lower: -limit, upper: limit },
      acceptance: { lower: -acceptance, upper: acceptance },
    }).consumer;
  return at(topOf(at, 0.001, Math.PI / 2 - 0.001));
};
