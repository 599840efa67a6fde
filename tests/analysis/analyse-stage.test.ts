import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { analyseStage } from "../../src/analysis/analyse-stage.ts";
import { type FigureId, figure } from "../../src/analysis/analysis.ts";
import { deadBandFigure } from "../../src/analysis/dead-band.ts";
import { pointDriftFigure } from "../../src/analysis/point-drift.ts";
import { reproducibilityFigure } from "../../src/analysis/reproducibility.ts";
import type { StagePoint } from "../../src/readings/stage-point.ts";
import { fromKilopascal, toKilopascal } from "../../src/vocabulary/pressure-units.ts";
import { kPa } from "../../src/vocabulary/quantities.ts";
import type { Direction } from "../../src/vocabulary/reading.ts";
import { analysed, cyclesOf, PLAIN, TENTHS, unitOf, valueIn } from "./bench-readings.ts";

/** A made-up unit whose every figure is known by hand: error = a + b p + c p (100 - p) + h on the way down. */
const made =
  (a: number, b: number, c: number, h: number) =>
  (p: number, direction: Direction): number =>
    a + b * p + c * p * (100 - p) + (direction === "falling" && p > 0 && p < 100 ? h : 0);

describe("figures of a made-up unit, known by hand", () => {
  const readings = cyclesOf(PLAIN, 3, TENTHS, made(0.2, 0.003, 0.0001, 0.1));
  const analysis = analysed(readings, PLAIN);

  test.each<readonly [FigureId, number, number | undefined]>([
    ["zero-error", 0.2, 0],
    ["span-error", 0.3, undefined],
    ["hysteresis-plus-dead-band", 0.1, undefined],
    ["hysteresis-mean", 0.1, undefined],
    // Mean curve over the terminal line: c p (100 - p) + h / 2, largest at 50 %.
    ["linearity-terminal", 0.25 + 0.05, 50],
    ["linearity-independent", 0.15, undefined],
    ["return-to-zero", 0, 0],
    ["repeatability", 0, undefined],
    ["non-repeatability", 0, undefined],
    // At 60 %: 0.2 + 0.18 + 0.24 + 0.1, and at 70 % as much: whatever the rounding, the first reading is named, which
    // on the way down is 70 %, and of averages the lowest point.
    ["measured-accuracy-positive", 0.72, 70],
    ["measured-accuracy-negative", 0, undefined],
    ["inaccuracy", 0.72, 70],
    ["maximum-measured-error", 0.72, 60],
  ])("%s", (id, value, at) => {
    expect(valueIn(analysis, id)).toBeCloseTo(value, 9);
    if (at !== undefined) expect(figure(analysis, id)?.at_percent).toBe(at);
  });

  test("every figure says what it is, of what, and after whom", () => {
    for (const f of analysis.figures) {
      expect(f.definition.length, f.id).toBeGreaterThan(20);
      expect(f.source.length, f.id).toBeGreaterThan(5);
    }
    expect(new Set(analysis.figures.map((f) => f.id)).size).toBe(analysis.figures.length);
    expect(analysis.remarks).toEqual([]);
  });

  test("sensitivity and gain error belong together", () => {
    const gain = valueIn(analysed(cyclesOf(PLAIN, 1, TENTHS, made(0.2, 0.003, 0, 0)), PLAIN), "gain-error");
    expect(gain).toBeCloseTo(0.3, 9);
    const slope = valueIn(analysed(cyclesOf(PLAIN, 1, TENTHS, made(0.2, 0.003, 0, 0)), PLAIN), "sensitivity");
    expect(slope).toBeCloseTo(5 * 1.003, 9);
  });

  test("hysteresis stands alone once the dead band is known by its own test", () => {
    const dead_band = deadBandFigure(
      [
        { nominal_percent: 50, first_movement_mA: 12.01, movement_after_reversal_mA: 12.0036 },
        { nominal_percent: 25, first_movement_mA: 8, movement_after_reversal_mA: 7.998 },
      ],
      PLAIN.input,
    );
    if (dead_band === null) throw new Error("no dead band");
    expect(dead_band).toMatchObject({ unit: "%input-span", at_percent: 50 });
    expect(dead_band.value).toBeCloseTo(0.04, 9);
    const both = analysed(readings, PLAIN, { dead_band });
    expect(valueIn(both, "hysteresis")).toBeCloseTo(0.06, 9);
    expect(valueIn(both, "dead-band")).toBeCloseTo(0.04, 9);
    expect(figure(analysis, "hysteresis")).toBeUndefined();
    expect(deadBandFigure([], PLAIN.input)).toBeNull();
  });
});

describe("the input that was really applied", () => {
  test("a current that is off does not count as an error of the unit", () => {
    const points = cyclesOf(PLAIN, 1, TENTHS, () => 0).map((p) => ({
      ...p,
      applied_mA: p.nominal_mA + 0.02,
      output_kPa: p.output_kPa + 0.02 * 5,
    }));
    const analysis = analysed(points, PLAIN);
    for (const p of analysis.points) {
      expect(p.error_kPa).toBeCloseTo(0, 9);
      expect(p.output_at_nominal_kPa).toBeCloseTo(20 + 0.8 * p.nominal_percent, 9);
      expect(p.ideal_kPa).toBeCloseTo(20.1 + 0.8 * p.nominal_percent, 9);
    }
  });

  test("percent of reading is of the ideal output, and there is none where that is zero", () => {
    const unit = unitOf([4, 20], [0, 100]);
    const [first, second] = analysed(
      cyclesOf(unit, 1, [0, 50], () => 1),
      unit,
    ).points;
    expect(first?.error_percent_reading).toBeNull();
    expect(second?.error_percent_reading).toBeCloseTo(2, 9);
  });

  test("it says so when the source was taken at its word", () => {
    const points = cyclesOf(PLAIN, 1, TENTHS, () => 0);
    const commanded = points.map((p) => ({ ...p, applied_from: "commanded" as const }));
    expect(analysed(commanded, PLAIN).remarks.join()).toContain("no meter read it");
    expect(analysed([...points.slice(1), ...commanded.slice(0, 1)], PLAIN).remarks.join()).toContain(
      "At 1 of 22 readings",
    );
  });
});

describe("repeatability: the word has several meanings, and the one used is printed", () => {
  /** At 50 % rising the three cycles read 0, +0.10, -0.04; the zero moves by +0.03 in cycle 3. */
  const points = cyclesOf(PLAIN, 3, [0, 50, 100], (p, direction, cycle) => {
    if (p === 0) return cycle === 3 ? 0.03 : 0;
    return p === 50 && direction === "rising" ? ([0, 0.1, -0.04][cycle - 1] ?? 0) : 0;
  });
  test.each([
    [{ method: "range" } as const, 0.14, "range"],
    [{ method: "from-first-run" } as const, 0.1, "first cycle"],
    [
      { method: "standard-deviation", k: 2 } as const,
      2 * Math.sqrt((0.02 ** 2 + 0.08 ** 2 + 0.06 ** 2) / 2),
      "2 standard deviations",
    ],
    [{ method: "zero-corrected" } as const, 0.17, "zero-corrected"],
  ])("%o", (repeatability, value, name) => {
    const analysis = analysed(points, PLAIN, { repeatability });
    expect(valueIn(analysis, "repeatability")).toBeCloseTo(value, 9);
    expect(figure(analysis, "repeatability")?.at_percent).toBe(50);
    expect(figure(analysis, "repeatability")?.name).toContain(name);
    expect(valueIn(analysis, "non-repeatability")).toBeCloseTo(0.14, 9);
  });
});

describe("an end that stands at a stop", () => {
  const fromZero = unitOf([4, 20], [0, 100], { mode: "gauge" });
  const hidden = (zero: number) => cyclesOf(fromZero, 2, TENTHS, (p) => Math.max(zero, -p));

  test("a negative zero error that the unit cannot show is not reported as 0", () => {
    const analysis = analysed(hidden(-1.5), fromZero);
    expect(analysis.points.filter((p) => p.clipped === "at-zero").map((p) => p.nominal_percent)).toEqual([0, 0, 0, 0]);
    expect(figure(analysis, "zero-error")?.name).toBe("Zero error, estimated");
    expect(valueIn(analysis, "zero-error")).toBeCloseTo(-1.5, 9);
    expect(valueIn(analysis, "span-error")).toBeCloseTo(0, 9);
    expect(valueIn(analysis, "linearity-independent")).toBeCloseTo(0, 9);
    expect(figure(analysis, "return-to-zero")).toBeUndefined();
    expect(analysis.levels.map((l) => l.nominal_percent)).toEqual(TENTHS.slice(1));
    expect(analysis.remarks[0]).toContain("At 0 % of output span the output stood at zero pressure");
  });

  test("the estimate behind a stop is the least-squares line of the other points, and says so", () => {
    const bent = cyclesOf(fromZero, 1, [0, 20, 40, 60, 80, 100], (p) =>
      Math.max(-2 + 0.001 * p * (100 - p) * (p < 50 ? 1 : 0), -p),
    );
    const analysis = analysed(bent, fromZero);
    // Errors at 20 to 100 %: -0.4, 0.4, -2, -2, -2. By hand: mean x 60, mean y -1.2, sum xy about the mean -112, sum xx 4000.
    expect(valueIn(analysis, "zero-error")).toBeCloseTo(-1.2 + (112 / 4000) * 60, 9);
    expect(valueIn(analysis, "span-error")).toBeCloseTo((-112 / 4000) * 100, 9);
    expect(figure(analysis, "zero-error")?.definition).toContain(
      "least-squares line through the points that did not stand at a stop",
    );
  });

  test("a positive zero error is seen as it is", () => {
    const analysis = analysed(hidden(0.5), fromZero);
    expect(analysis.points.every((p) => p.clipped === "none")).toBe(true);
    expect(valueIn(analysis, "zero-error")).toBeCloseTo(0.5, 9);
  });

  test("a live zero is far from the stop, and a differential output has none", () => {
    expect(
      analysed(
        cyclesOf(PLAIN, 1, TENTHS, () => -1.5),
        PLAIN,
      ).remarks,
    ).toEqual(["One cycle only: repeatability cannot be stated."]);
    const both = unitOf([4, 20], [0, 100]);
    expect(
      analysed(
        cyclesOf(both, 1, TENTHS, () => -1.5),
        both,
      ).points.every((p) => p.clipped === "none"),
    ).toBe(true);
  });

  test("an output that meets its supply hides the error at the top", () => {
    const low = (supply_kPa: number) =>
      cyclesOf(PLAIN, 2, TENTHS, (p) => 0.1 + 0.01 * p).map((p) => ({
        ...p,
        output_kPa: Math.min(p.output_kPa, 98),
        supply_kPa,
      }));
    const analysis = analysed(low(98.2), PLAIN);
    expect(new Set(analysis.points.filter((p) => p.clipped !== "none").map((p) => p.clipped))).toEqual(
      new Set(["at-supply"]),
    );
    expect(valueIn(analysis, "span-error")).toBeCloseTo(1, 6);
    expect(analysis.remarks.join()).toContain("supply pressure and can rise no further");
    // Without a supply gauge nobody knows the stop; that the output stops is still said.
    const unknown = analysed(
      cyclesOf(PLAIN, 2, TENTHS, (p) => Math.min(0, 88 - p)),
      PLAIN,
    );
    expect(unknown.remarks.join()).toContain("Between 90 and 100 % of output span the output hardly moved");
  });

  test("a dead unit is not said to have a zero error of 0", () => {
    const dead = cyclesOf(PLAIN, 1, TENTHS, (p) => -25 - p);
    const analysis = analysed(dead, PLAIN);
    expect(figure(analysis, "zero-error")).toBeUndefined();
    expect(valueIn(analysis, "inaccuracy")).toBeCloseTo(-125, 9);
    expect(analysis.remarks.join()).toContain("linearity needs at least 3");
  });
});

describe("square-root units", () => {
  const root = unitOf([4, 20], [20, 100], { characteristic: "square-root" });
  test("an ideal one has no error and no deviation from its characteristic", () => {
    const analysis = analysed(
      cyclesOf(root, 1, TENTHS, () => 0),
      root,
    );
    expect(valueIn(analysis, "conformity-independent")).toBeCloseTo(0, 9);
    expect(valueIn(analysis, "inaccuracy")).toBeCloseTo(0, 6);
    expect(figure(analysis, "linearity-independent")).toBeUndefined();
    expect(figure(analysis, "sensitivity")).toBeUndefined();
    expect(analysis.remarks.join()).toContain("foot of a square-root");
  });
  test("what bends away from the root counts, what shifts or stretches it does not", () => {
    const bent = analysed(cyclesOf(root, 1, TENTHS, made(0.3, 0.002, 0.0001, 0)), root);
    expect(valueIn(bent, "conformity-independent")).toBeCloseTo(0.125, 9);
    expect(valueIn(bent, "conformity-terminal")).toBeCloseTo(0.25, 9);
  });
});

describe("what is not there", () => {
  const full = cyclesOf(PLAIN, 2, TENTHS, made(0.1, 0.001, 0.00005, 0.05));

  test("one direction only", () => {
    const analysis = analysed(
      full.filter((p) => p.direction === "rising"),
      PLAIN,
    );
    expect(figure(analysis, "hysteresis-plus-dead-band")).toBeUndefined();
    expect(valueIn(analysis, "linearity-independent")).toBeGreaterThan(0);
    expect(analysis.remarks.join()).toContain("There are rising readings only");
  });

  test("a missing point is named, and the rest stands", () => {
    const analysis = analysed(
      full.filter((p) => !(p.cycle === 2 && p.direction === "falling" && p.nominal_percent === 40)),
      PLAIN,
    );
    expect(analysis.remarks).toEqual([
      "At 40 % of output span 1 of 2 falling readings are there; averages and spreads at this point stand on what there is.",
    ]);
    expect(valueIn(analysis, "hysteresis-plus-dead-band")).toBeCloseTo(0.05, 9);
  });

  test("one point", () => {
    const analysis = analysed(full.slice(5, 6), PLAIN);
    expect(analysis.points).toHaveLength(1);
    expect(analysis.figures.map((f) => f.id)).toEqual([
      "measured-accuracy-positive",
      "measured-accuracy-negative",
      "inaccuracy",
      "maximum-measured-error",
      "static-error-band",
    ]);
    expect(analysis.remarks.join()).toContain("Only 1 point can");
  });

  test("a run from 10 to 90 % continues its line to the ends and says so", () => {
    const analysis = analysed(cyclesOf(PLAIN, 1, [10, 50, 90], made(0.2, 0.003, 0, 0)), PLAIN);
    expect(valueIn(analysis, "zero-error")).toBeCloseTo(0.2, 9);
    expect(figure(analysis, "zero-error")?.definition).toContain("continued to 0 %");
    expect(valueIn(analysis, "span-error")).toBeCloseTo(0.3, 9);
  });

  test("a drift from cycle to cycle is no hysteresis, and the last zero counts for the return to zero", () => {
    const analysis = analysed(
      cyclesOf(PLAIN, 3, TENTHS, (_, direction, cycle) => cycle - (direction === "falling" ? 0.1 : 0)),
      PLAIN,
    );
    expect(valueIn(analysis, "hysteresis-plus-dead-band")).toBeCloseTo(0.1, 9);
    expect(valueIn(analysis, "hysteresis-mean")).toBeCloseTo(0.1, 9);
    expect(valueIn(analysis, "repeatability")).toBeCloseTo(2, 9);
    expect(valueIn(analysis, "return-to-zero")).toBeCloseTo(1.9, 9);
    expect(valueIn(analysis, "zero-deviation")).toBeCloseTo(0.1, 9);
  });

  test("a cycle that starts in mid-scale is paired inside itself", () => {
    const order = [50, 75, 100, 75, 50, 25, 0, 25, 50];
    const points = order.map((percent, i): StagePoint => {
      const direction = i <= 2 || i >= 7 ? "rising" : "falling";
      const template = cyclesOf(PLAIN, 1, [percent], () => (direction === "falling" ? 0.2 : 0))[
        direction === "rising" ? 0 : 1
      ];
      if (template === undefined) throw new Error("no point");
      return { ...template, ordinal: i + 1 };
    });
    expect(valueIn(analysed(points, PLAIN), "hysteresis-plus-dead-band")).toBeCloseTo(0.2, 9);
  });
});

describe("what is refused", () => {
  const [point] = cyclesOf(PLAIN, 1, [50], () => 0);
  if (point === undefined) throw new Error("no point");
  const refusal = (points: readonly StagePoint[], unit = PLAIN): string => {
    const result = analyseStage(points, unit, { stage: "as-left" });
    if (result.ok) throw new Error("it was accepted");
    return result.fault.message;
  };
  test("no readings", () => expect(refusal([])).toContain("no readings"));
  test.each(["output_kPa", "applied_mA", "nominal_mA", "nominal_percent", "ordinal", "cycle"] as const)(
    "NaN for %s",
    (field) => {
      expect(refusal([{ ...point, [field]: Number.NaN }])).toContain(`NaN for ${field}`);
    },
  );
  test("an infinite supply", () =>
    expect(refusal([{ ...point, supply_kPa: Number.POSITIVE_INFINITY }])).toContain("supply_kPa"));
  test("the same point twice", () => expect(refusal([point, point])).toContain("there twice"));
  test("a range without span", () => expect(refusal([point], unitOf([4, 20], [50, 50]))).toContain("span of 0 kPa"));
  test("an input without span", () => expect(refusal([point], unitOf([4, 4], [20, 100]))).toContain("span of 0 mA"));
  test("points of another unit", () =>
    expect(
      refusal(
        cyclesOf(PLAIN, 1, [25], () => 0),
        unitOf([4, 20], [20, 100], { action: "reverse" }),
      ),
    ).toContain("called 25 % of output span, but at 8 mA this unit ought to stand at 75 %"));
});

const errorPercent = fc.double({ noNaN: true, min: -3, max: 3 });
const randomRun = fc
  .record({ cycles: fc.integer({ min: 1, max: 3 }), errors: fc.array(errorPercent, { minLength: 66, maxLength: 66 }) })
  .map(({ cycles, errors }) => {
    let next = 0;
    return cyclesOf(PLAIN, cycles, TENTHS, () => errors[next++ % errors.length] ?? 0);
  });

describe("properties", () => {
  test("a straight line has no non-linearity, hysteresis or repeatability error", () => {
    fc.assert(
      fc.property(
        errorPercent,
        fc.double({ noNaN: true, min: -0.05, max: 0.05 }),
        fc.constantFrom("direct", "reverse"),
        (zero, slope, action) => {
          const unit = unitOf([4, 20], [20, 100], { action: action as "direct" | "reverse", mode: "gauge" });
          const analysis = analysed(
            cyclesOf(unit, 2, TENTHS, (p) => zero + slope * p),
            unit,
          );
          for (const id of [
            "linearity-independent",
            "linearity-terminal",
            "linearity-zero-based",
            "deviation-least-squares",
            "hysteresis-plus-dead-band",
            "repeatability",
          ] as const) {
            expect(valueIn(analysis, id), id).toBeCloseTo(0, 9);
          }
          expect(valueIn(analysis, "zero-error")).toBeCloseTo(zero, 9);
          expect(valueIn(analysis, "span-error")).toBeCloseTo(100 * slope, 9);
          expect(valueIn(analysis, "gain-error")).toBeCloseTo(100 * slope, 9);
        },
      ),
    );
  });

  test("the order of the points does not matter, to the last bit", () => {
    fc.assert(
      fc.property(
        randomRun.chain((run) => fc.tuple(fc.constant(run), fc.shuffledSubarray([...run], { minLength: run.length }))),
        ([run, shuffled]) => {
          expect(analysed(shuffled, PLAIN)).toEqual(analysed(run, PLAIN));
        },
      ),
      { numRuns: 50 },
    );
  });

  test("in another unit of pressure the percentages stay and the pressures scale", () => {
    // The same run, once with psi numbers taken as kPa.
    const psi = unitOf([4, 20], [20, 100].map((v) => fromKilopascal(kPa(v), "psi")) as [number, number], {
      mode: "gauge",
    });
    fc.assert(
      fc.property(randomRun, (run) => {
        const inKilopascal = analysed(run, PLAIN);
        const inPsi = analysed(
          run.map((p) => ({ ...p, output_kPa: fromKilopascal(kPa(p.output_kPa), "psi") })),
          psi,
        );
        expect(inPsi.figures.map((f) => f.id)).toEqual(inKilopascal.figures.map((f) => f.id));
        for (const [i, f] of inPsi.figures.entries()) {
          const other = inKilopascal.figures[i]?.value ?? Number.NaN;
          if (Math.abs(other) > 1e-3) expect(f.at_percent, f.id).toBe(inKilopascal.figures[i]?.at_percent);
          expect(f.unit === "kPa/mA" ? toKilopascal(f.value, "psi") : f.value, f.id).toBeCloseTo(other, 8);
        }
      }),
      { numRuns: 50 },
    );
  });

  test("a common shift moves the zero and nothing else", () => {
    fc.assert(
      fc.property(randomRun, errorPercent, (run, shift) => {
        const before = analysed(run, PLAIN);
        const after = analysed(
          run.map((p) => ({ ...p, output_kPa: p.output_kPa + 0.8 * shift })),
          PLAIN,
        );
        expect(valueIn(after, "zero-error")).toBeCloseTo(valueIn(before, "zero-error") + shift, 8);
        for (const id of [
          "span-error",
          "linearity-independent",
          "linearity-terminal",
          "linearity-zero-based",
          "hysteresis-plus-dead-band",
        ] as const) {
          expect(valueIn(after, id), id).toBeCloseTo(valueIn(before, id), 8);
        }
      }),
      { numRuns: 50 },
    );
  });

  test("no figure contradicts another", () => {
    fc.assert(
      fc.property(randomRun, (run) => {
        const a = analysed(run, PLAIN);
        const v = (id: FigureId): number => valueIn(a, id);
        const tiny = 1e-9;
        expect(v("linearity-independent")).toBeLessThanOrEqual(v("linearity-zero-based") + tiny);
        expect(v("linearity-zero-based")).toBeLessThanOrEqual(v("linearity-terminal") + tiny);
        expect(v("linearity-independent")).toBeLessThanOrEqual(v("deviation-least-squares") + tiny);
        expect(Math.abs(v("maximum-measured-error"))).toBeLessThanOrEqual(Math.abs(v("inaccuracy")) + tiny);
        expect(v("static-error-band")).toBeLessThanOrEqual(Math.abs(v("inaccuracy")) + tiny);
        expect(v("hysteresis-mean")).toBeLessThanOrEqual(v("hysteresis-plus-dead-band") + tiny);
        expect(Math.max(v("measured-accuracy-positive"), -v("measured-accuracy-negative"))).toBeCloseTo(
          Math.abs(v("inaccuracy")),
          9,
        );
      }),
      { numRuns: 100 },
    );
  });
});

describe("over several runs, and over time", () => {
  test("reproducibility holds the spread over the runs, both directions", () => {
    const runs = [0, 0.3].map((shift) => analysed(cyclesOf(PLAIN, 1, TENTHS, made(shift, 0, 0, 0.1)), PLAIN));
    expect(reproducibilityFigure(runs)?.value).toBeCloseTo(0.4, 9);
    expect(reproducibilityFigure(runs.slice(1))).toBeNull();
    const elsewhere = analysed(
      cyclesOf(PLAIN, 1, [33], () => 0),
      PLAIN,
    );
    expect(reproducibilityFigure([elsewhere, ...runs])).toBeNull();
  });

  test("point drift is the largest change at a constant input", () => {
    const samples = [60, 60.02, 60.06, 60.04].map((output_kPa, i) => ({ at_s: 60 * i, output_kPa }));
    const drift = pointDriftFigure(samples, 80, 50);
    expect(drift?.value).toBeCloseTo(0.075, 9);
    expect(drift?.definition).toContain("180 s");
    expect(pointDriftFigure(samples.slice(1, 2), 80, 50)).toBeNull();
  });
});
