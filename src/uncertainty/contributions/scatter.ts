import { figureText, type PointFacts } from "../bench-facts.ts";
import { contribution } from "../standard-uncertainty.ts";
import type { ContributionLeaf } from "./index.ts";

/** Standard uncertainty of the mean of one capture. Readings follow one another too closely to be independent. */
export const scatterOfMean = ({ spread_kPa, n_effective }: Pick<PointFacts, "spread_kPa" | "n_effective">): number =>
  spread_kPa / Math.sqrt(Math.max(1, n_effective));

/** Scatter of the readings that were averaged, by the number of independent ones they are worth. */
export const scatter: ContributionLeaf = (_bench, point) =>
  contribution({
    id: "scatter",
    name: "scatter of the readings",
    evaluation: "A",
    distribution: "t",
    given: `s = ${figureText(point.spread_kPa)} kPa, ${point.n} readings worth ${figureText(point.n_effective)}`,
    u_input: scatterOfMean(point),
    unit: "kPa",
    sensitivity: 1,
    degrees_of_freedom: Math.max(1, point.n_effective - 1),
    source: "JCGM 100:2008, 4.2; JCGM GUM-6:2020, 11.7.3 for the effective number",
  });
