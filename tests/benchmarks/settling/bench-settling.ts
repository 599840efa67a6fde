import { pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import { createDetector } from "../../../src/run/settling/detector.ts";
import type { SettlingRule } from "../../../src/run/settling/settling-rule.ts";
import { bandOver, equivalence, fixedWait, slopeTest, varianceRatio } from "./baselines.ts";
import { makeUnit } from "./generate-traces.ts";
import { goalFigures, goalsOf, goalText } from "./goals.ts";
import { readUnits } from "./read-traces.ts";
import { type PointScore, quantile, type ReplayOptions, type Row, scoreUnit, summarise } from "./score.ts";
import type { Trace } from "./trace.ts";
import { publicKinds, type UnitKind } from "./unit-family.ts";
import { unusualKinds } from "./unusual.ts";

export interface Contender {
  readonly name: string;
  readonly memory: boolean;
  make(unit: readonly Trace[]): SettlingRule;
}

const digit = (unit: readonly Trace[]): number => unit[0]?.resolution ?? 0;

export const detectorContender = (limit: number, gamma?: number, alpha?: number): Contender => ({
  name: "detector",
  memory: true,
  make: (unit) =>
    createDetector({
      limit,
      resolution: digit(unit),
      ...(gamma === undefined ? {} : { gamma }),
      ...(alpha === undefined ? {} : { alpha }),
    }),
});

export const contenders = (limit: number, gamma?: number, alpha?: number): readonly Contender[] => [
  detectorContender(limit, gamma, alpha),
  {
    name: "detector, no memory",
    memory: false,
    make: (unit) => createDetector({ limit, resolution: digit(unit) }),
  },
  { name: "fixed 30 s", memory: true, make: (unit) => fixedWait(digit(unit), 30) },
  { name: "fixed 60 s", memory: true, make: (unit) => fixedWait(digit(unit), 60) },
  { name: `band ${limit} over 5 s`, memory: true, make: (unit) => bandOver(digit(unit), limit, 5) },
  { name: "slope t-test 5 s", memory: true, make: (unit) => slopeTest(digit(unit), 5) },
  { name: "variance ratio", memory: true, make: (unit) => varianceRatio(digit(unit)) },
  { name: `equivalence ${limit / 2} over 5 s`, memory: true, make: (unit) => equivalence(digit(unit), limit / 2, 5) },
];

/** The same detector bolder and more careful: what a little time buys in errors. */
export const frontier = (limit: number): readonly Contender[] =>
  [
    [0.25, 0.003],
    [0.4, 0.003],
    [0.65, 0.003],
    [0.55, 0.01],
    [0.7, 0.03],
  ].map(([gamma = 0.5, alpha = 0.003]) => ({
    ...detectorContender(limit, gamma, alpha),
    name: `detector ${gamma} / ${alpha}`,
  }));

export interface Tally {
  readonly rule: string;
  readonly points: PointScore[];
  soak: number;
  units: number;
  readonly costs: number[];
}

export const newTally = (rule: string): Tally => ({ rule, points: [], soak: 0, units: 0, costs: [] });

export function runUnit(
  tally: Tally,
  contender: Contender,
  unit: readonly Trace[],
  limit: number,
  timed: boolean,
): void {
  const options: ReplayOptions = {
    limit,
    memory: contender.memory,
    ...(timed ? { cost: (us: number) => void tally.costs.push(us) } : {}),
  };
  const score = scoreUnit(() => contender.make(unit), unit, options);
  for (const point of score.points) tally.points.push(point);
  if (score.points.some((p) => p.settles)) tally.soak += score.soak;
  tally.units++;
}

export interface Report {
  readonly rule: string;
  readonly units: number;
  readonly overall: Row;
  readonly kinds: readonly Row[];
  /** Total time over the oracle's total, with the hold of the exercise stroke counted. */
  readonly totalWithSoak: number;
  readonly meanSoak_s: number;
  readonly costMedian_us: number;
  readonly costMean_us: number;
  readonly costMost_us: number;
}

export function report(tally: Tally): Report {
  const kinds = [...new Set(tally.points.map((p) => p.kind))];
  const overall = summarise("all", tally.points);
  const oracle = tally.points
    .filter((p) => p.settles && !p.marginal && Number.isFinite(p.oracle))
    .reduce((sum, p) => sum + p.oracle, 0);
  const costs = tally.costs;
  return {
    rule: tally.rule,
    units: tally.units,
    overall,
    kinds: kinds.map((kind) =>
      summarise(
        kind,
        tally.points.filter((p) => p.kind === kind),
      ),
    ),
    totalWithSoak: overall.total + tally.soak / oracle,
    meanSoak_s: tally.soak / Math.max(1, tally.units),
    costMedian_us: quantile(costs, 0.5),
    costMean_us: costs.reduce((a, b) => a + b, 0) / Math.max(1, costs.length),
    costMost_us: costs.reduce((a, b) => Math.max(a, b), 0),
  };
}

const cell = (value: number, digits: number, width: number): string =>
  (Number.isFinite(value) ? value.toFixed(digits) : "-").padStart(width);

export function table(rows: readonly (Row & { readonly label: string })[]): string {
  const head =
    "".padEnd(24) +
    [
      "points",
      "settle",
      "median",
      "p90",
      "total",
      "false%",
      "n",
      ">2E",
      "err95",
      "max",
      "lost%",
      "never",
      "miss%",
      "centre",
      "z",
      "z60",
    ]
      .map((h) => h.padStart(8))
      .join("");
  const lines = rows.map(
    (r) =>
      r.label.padEnd(24) +
      cell(r.points, 0, 8) +
      cell(r.settling, 0, 8) +
      cell(r.ratioMedian, 3, 8) +
      cell(r.ratioP90, 3, 8) +
      cell(r.total, 3, 8) +
      cell(r.falsePercent, 3, 8) +
      cell(r.falseCount, 0, 8) +
      cell(r.beyondTwice, 0, 8) +
      cell(r.errorP95, 4, 8) +
      cell(r.errorMax, 3, 8) +
      cell(r.lostPercent, 2, 8) +
      cell(r.never, 0, 8) +
      cell(r.missedPercent, 2, 8) +
      cell(r.centreP95, 4, 8) +
      cell(r.normalised, 2, 8) +
      cell(r.normalised60, 2, 8),
  );
  return [head, ...lines].join("\n");
}

async function* units(
  file: string | undefined,
  seeds: readonly number[],
  count: number,
  kinds: readonly UnitKind[],
  limit: number,
): AsyncGenerator<Trace[]> {
  if (file !== undefined) {
    yield* readUnits(file);
    return;
  }
  for (const seed of seeds) {
    for (let index = 0; index < count; index++) {
      const kind = kinds[index % Math.max(1, kinds.length)];
      yield makeUnit({ seed, index, limit, ...(kind === undefined ? {} : { kind }) });
    }
  }
}

/** `usual` draws from the family by its shares; `unusual` goes through the kinds outside it; or names with commas between. */
function kindsNamed(text: string): readonly UnitKind[] {
  if (text === "usual") return [];
  if (text === "unusual") return unusualKinds;
  const known: readonly UnitKind[] = [...publicKinds.map(([kind]) => kind), ...unusualKinds];
  return text.split(",").map((name) => {
    const kind = known.find((k) => k === name);
    if (kind === undefined) throw new Error(`there is no kind "${name}"; there are ${known.join(", ")}`);
    return kind;
  });
}

async function main(): Promise<void> {
  const { values } = parseArgs({
    options: {
      traces: { type: "string" },
      units: { type: "string", default: "2000" },
      seed: { type: "string", default: "1" },
      kinds: { type: "string", default: "usual" },
      limit: { type: "string", default: "0.05" },
      gamma: { type: "string" },
      alpha: { type: "string" },
      rules: { type: "string" },
      json: { type: "boolean", default: false },
      worst: { type: "boolean", default: false },
      frontier: { type: "boolean", default: false },
    },
  });
  const limit = Number(values.limit);
  const optional = (text: string | undefined): number | undefined => (text === undefined ? undefined : Number(text));
  const known = [
    ...contenders(limit, optional(values.gamma), optional(values.alpha)),
    ...(values.frontier ? frontier(limit) : []),
  ];
  const chosen = known.filter((c) => values.rules === undefined || values.rules.split(",").includes(c.name));
  const tallies = chosen.map((c) => newTally(c.name));
  let done = 0;
  const source = units(
    values.traces,
    values.seed.split(",").map(Number),
    Number(values.units),
    kindsNamed(values.kinds),
    limit,
  );
  for await (const unit of source) {
    for (const [i, contender] of chosen.entries()) {
      const tally = tallies[i];
      if (tally !== undefined) runUnit(tally, contender, unit, limit, done % 10 === 0);
    }
    done++;
    if (done % 100 === 0) process.stderr.write(`${done} units\n`);
  }
  const reports = tallies.map(report);
  const lines: string[] = [table(reports.map((r) => ({ ...r.overall, label: r.rule })))];
  for (const r of reports.slice(0, 1)) {
    lines.push(
      "",
      `${r.rule}: by kind (${r.units} units; total with the exercise hold ${r.totalWithSoak.toFixed(3)}, mean hold ${r.meanSoak_s.toFixed(1)} s; ` +
        `cost a sample: median ${r.costMedian_us.toFixed(2)} us, mean ${r.costMean_us.toFixed(2)} us, most ${r.costMost_us.toFixed(0)} us)`,
      table(r.kinds.map((k) => ({ ...k, label: k.kind }))),
    );
  }
  const first = reports[0];
  const goals = first === undefined ? [] : goalsOf(first);
  lines.push("", goalText(goals));
  if (goals.some((g) => !g.met))
    lines.push("Run with --worst for the records behind a miss, with --frontier for what time buys.");
  if (values.worst) {
    for (const p of tallies[0]?.points ?? []) {
      if (p.marginal) continue;
      const wrong = p.settles && p.verdict === "settled" && Math.abs(p.error) > p.allowed;
      const lost = p.settles && p.verdict !== "settled";
      const missed = !p.settles && p.verdict === "settled";
      if (wrong || lost || missed)
        lines.push(
          `${wrong ? "FALSE" : lost ? "LOST" : "MISSED"} ${p.id} ${p.kind} ${p.verdict} t ${p.time.toFixed(2)} oracle ${p.oracle.toFixed(2)} error ${p.error.toFixed(4)} u ${p.u.toFixed(4)}`,
        );
    }
  }
  const out = values.json ? process.stderr : process.stdout;
  out.write(`${lines.join("\n")}\n`);
  if (values.json)
    process.stdout.write(`${JSON.stringify({ limit, figures: goalFigures(goals), goals, reports }, null, 1)}\n`);
}

if (import.meta.url === pathToFileURL(process.argv[1] ?? "").href) await main();
