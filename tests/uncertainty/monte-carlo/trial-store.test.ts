import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { standardDeviation as exactDeviation, mean as exactMean } from "../../../src/analysis/statistics.ts";
import { intervalOf, intervalOfSorted } from "../../../src/uncertainty/monte-carlo/coverage-interval.ts";
import { Deviates } from "../../../src/uncertainty/monte-carlo/deviates.ts";
import { sfc32 } from "../../../src/uncertainty/monte-carlo/random-words.ts";
import { TrialStore } from "../../../src/uncertainty/monte-carlo/trial-store.ts";

describe("coverage intervals of a sample (JCGM 101:2008, 7.7)", () => {
  it("by the ranks of a hundred values", () => {
    const values = Float64Array.from({ length: 100 }, (_, i) => i + 1);
    // q = 95, (M - q)/2 is no whole number: r = (M - q + 1)/2 = 3.
    expect(intervalOfSorted(values, 0.95, "symmetric")).toEqual([3, 98]);
    const skewed = values.map((x) => x * x);
    expect(intervalOfSorted(skewed, 0.95, "shortest")).toEqual([1, 96 ** 2]);
    expect(intervalOfSorted(values, 0.5, "symmetric")).toEqual([25, 75]);
  });

  it("are the same from the two tails as from a full sort, whatever the values", () => {
    const deviates = new Deviates(sfc32(1));
    const wild: ((i: number) => number)[] = [
      () => deviates.uniform(),
      () => deviates.student(0.7),
      (i) => i % 3,
      (i) => i,
      (i) => -i,
      () => 7,
    ];
    for (const next of wild) {
      const values = Float64Array.from({ length: 30_001 }, (_, i) => next(i));
      for (const p of [0.5, 0.95, 0.999]) {
        for (const kind of ["shortest", "symmetric"] as const) {
          expect(intervalOf(values, p, kind)).toEqual(intervalOfSorted(values.toSorted(), p, kind));
        }
      }
    }
  });

  it("the shortest is never longer than the symmetric one", () => {
    const sample = fc.array(fc.double({ min: -1e6, max: 1e6, noNaN: true }), { minLength: 20, maxLength: 200 });
    fc.assert(
      fc.property(sample, fc.double({ min: 0.1, max: 0.95, noNaN: true }), (values, p) => {
        const sorted = Float64Array.from(values).sort();
        const [a, b] = intervalOfSorted(sorted, p, "shortest");
        const [c, d] = intervalOfSorted(sorted, p, "symmetric");
        expect(b - a).toBeLessThanOrEqual(d - c);
      }),
    );
  });
});

describe("trials in bounded memory", () => {
  const fill = (store: TrialStore, next: () => number, blocks: number, size: number): Float64Array => {
    const all = new Float64Array(blocks * size);
    for (let b = 0; b < blocks; b += 1) {
      const block = Float64Array.from({ length: size }, next);
      all.set(block, b * size);
      store.take(block, size);
    }
    return all;
  };

  it.each([
    ["normal", (d: Deviates) => d.student(Number.MAX_SAFE_INTEGER)],
    ["heavy tails", (d: Deviates) => d.student(1.5)],
    ["one-sided", (d: Deviates) => -Math.log(d.uniform())],
    ["far from zero", (d: Deviates) => 1e9 + d.uniform()],
  ])("counted in bins, ends agree with a full sort: %s", (_name, draw) => {
    const deviates = new Deviates(sfc32(2));
    const store = new TrialStore(0.95, 100, 40_000);
    const all = fill(store, () => draw(deviates), 40, 5000);
    expect(store.exact).toBe(false);
    const mean = exactMean([...all]);
    const u = exactDeviation([...all]) ?? 0;
    expect(Math.abs(store.mean - mean)).toBeLessThan(1e-9 * (Math.abs(mean) + u));
    expect(store.u / u).toBeCloseTo(1, 9);
    const sorted = all.toSorted();
    const symmetric = intervalOfSorted(sorted, 0.95, "symmetric");
    const width = symmetric[1] - symmetric[0];
    store.interval("symmetric").forEach((end, i) => {
      expect(Math.abs(end - (symmetric[i] ?? 0))).toBeLessThan(1e-3 * width);
    });
    const shortest = intervalOfSorted(sorted, 0.95, "shortest");
    const counted = store.interval("shortest");
    expect(counted[1] - counted[0]).toBeLessThan((shortest[1] - shortest[0]) * 1.002);
    expect(counted[1] - counted[0]).toBeGreaterThan((shortest[1] - shortest[0]) * 0.998);
  });

  it("bears a quantity that never changes", () => {
    const store = new TrialStore(0.95, 100, 4000);
    fill(store, () => 5, 4, 2000);
    expect([store.mean, store.u]).toEqual([5, 0]);
    store.interval("symmetric").forEach((end) => {
      expect(end).toBeCloseTo(5, 12);
    });
  });
});
