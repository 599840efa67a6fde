import { createAdjuster, readAdjusting } from "../../../src/adjust/create-adjuster.ts";
import { type Interplay, interplayOfModel } from "../../../src/adjust/interplay.ts";
import type { NextAdjustment } from "../../../src/vocabulary/adjustment.ts";
import { kPa } from "../../../src/vocabulary/quantities.ts";
import {
  type BenchUnit,
  LOWER,
  plainAlternation,
  quantile,
  randomFor,
  TOLERANCE,
  UPPER,
  unitOf,
  type Work,
  withinReach,
  work,
} from "./technician.ts";

const AIM = TOLERANCE / 4;
const wanted_kPa = { lower: kPa(LOWER), upper: kPa(UPPER) };
const tolerance_kPa = kPa(TOLERANCE);
/** So that a run with two like screws is counted and not cut off early. */
const MOST_ROUNDS = 60;
const aims = { wanted_kPa, tolerance_kPa, most_rounds: MOST_ROUNDS };

/** Units of one model differ by this much, standard deviation of each ratio (assumed). */
const MODEL_SPREAD = 0.02;
/** So many units of the model stand in the records. */
const RECORDED_UNITS = 5;

/** What the records of earlier units of the same model taught, learned by the guide itself. */
const fromRecords = (model: BenchUnit, index: number) => {
  const told: { zero: Interplay[]; span: Interplay[] } = { zero: [], span: [] };
  for (let k = 0; k < RECORDED_UNITS; k += 1) {
    const random = randomFor(index).split(`record ${k}`);
    const { seen } = work(sibling(model, random), createAdjuster(aims), random);
    const { interplay } = readAdjusting(aims, seen);
    told.zero.push(interplay.zero);
    told.span.push(interplay.span);
  }
  const [zero, span] = [interplayOfModel(told.zero), interplayOfModel(told.span)];
  return { ...(zero === null ? {} : { zero }), ...(span === null ? {} : { span }) };
};

const sibling = (model: BenchUnit, random: ReturnType<typeof randomFor>): BenchUnit => {
  const own = random.split("unit");
  const { lower, upper } = unitOf(own.split("errors"));
  return {
    lower,
    upper,
    zeroAbove: model.zeroAbove + own.normal(0, MODEL_SPREAD),
    spanBelow: model.spanBelow + own.normal(0, MODEL_SPREAD),
  };
};

export interface GuideFigures {
  readonly name: string;
  readonly units: number;
  readonly rounds: readonly [median: number, p95: number, p99: number, most: number];
  readonly visits: readonly [median: number, p95: number, mean: number];
  readonly waits: readonly [median: number, p95: number];
  readonly minutes: readonly [median: number, p95: number];
  readonly givenUp: number;
  /** Largest true error at the ends of units called done, % of span: 99th percentile. */
  readonly left: number;
}

const figures = (name: string, works: readonly Work[]): GuideFigures => {
  const of = (pick: (w: Work) => number) => (share: number) => quantile(works.map(pick), share);
  const [rounds, visits, waits, minutes] = [
    of((w) => w.rounds),
    of((w) => w.visits),
    of((w) => w.waits),
    of((w) => w.minutes),
  ];
  const done = works.filter((w) => w.ended === "done");
  return {
    name,
    units: works.length,
    rounds: [rounds(0.5), rounds(0.95), rounds(0.99), rounds(1)],
    visits: [visits(0.5), visits(0.95), works.reduce((sum, w) => sum + w.visits, 0) / works.length],
    waits: [waits(0.5), waits(0.95)],
    minutes: [minutes(0.5), minutes(0.95)],
    givenUp: works.length - done.length,
    left: quantile(
      done.map((w) => w.left),
      0.99,
    ),
  };
};

/** All three ways of working on the same units, for the units within reach of their screws and for all. */
export const benchGuide = (count: number): readonly GuideFigures[] => {
  const runs: Record<"plain" | "unseen" | "known", { work: Work; reach: boolean }[]> = {
    plain: [],
    unseen: [],
    known: [],
  };
  const unseen = createAdjuster(aims);
  const plain = plainAlternation(AIM, MOST_ROUNDS);
  for (let i = 0; i < count; i += 1) {
    const random = randomFor(i);
    const unit = unitOf(random.split("unit"));
    const reach = withinReach(unit);
    const run = (next: NextAdjustment, of: BenchUnit): Work => work(of, next, random.split("work"));
    runs.plain.push({ work: run(plain, unit), reach });
    runs.unseen.push({ work: run(unseen, unit), reach });
    const one = sibling(unit, random.split("this one"));
    const known = createAdjuster({ ...aims, interplay: fromRecords(unit, i) });
    runs.known.push({ work: run(known, one), reach: withinReach(one) });
  }
  const names = { plain: "plain alternation", unseen: "guide, model never seen", known: "guide, model in the records" };
  return (["plain", "unseen", "known"] as const).flatMap((way) => [
    figures(
      `${names[way]}, screws that reach`,
      runs[way].filter((r) => r.reach).map((r) => r.work),
    ),
    figures(
      `${names[way]}, every unit drawn`,
      runs[way].map((r) => r.work),
    ),
  ]);
};

export const guideLines = (all: readonly GuideFigures[]): readonly string[] => [
  "Rounds until both ends are within a quarter of a 0.5 % tolerance (SIMULATED technician, hand 0.03 %, noise 0.01 %)",
  `${"".padEnd(46)} units   rounds med/p95/p99/most   visits med/p95/mean   waits med/p95   minutes med/p95   given up   left p99`,
  ...all.map((f) =>
    [
      f.name.padEnd(46),
      String(f.units).padStart(6),
      `   ${f.rounds.join(" / ")}`.padEnd(26),
      `   ${f.visits[0]} / ${f.visits[1]} / ${f.visits[2].toFixed(2)}`.padEnd(24),
      `${f.waits.join(" / ")}`.padEnd(14),
      `   ${f.minutes.map((m) => m.toFixed(1)).join(" / ")}`.padEnd(17),
      `   ${f.givenUp}`.padEnd(11),
      `   ${f.left.toFixed(3)} %`,
    ].join(""),
  ),
];
