import { expect, test } from "vitest";
import { type CheckedPoint, checkCoverage, coverageOf, simulateCalibration } from "./simulated-calibration.ts";

/**
 * The stated interval against the truth, the quick way: few units, each with many draws of its references. The whole
 * count of 2,000 units is `npm run bench:coverage`. Seeds are fixed, so this says the same every time.
 */
const UNITS = 12;
const DRAWS = 30;

test("the true error lies inside the stated 95 % interval about as often as stated", async () => {
  const points: CheckedPoint[] = [];
  for (let seed = 1; seed <= UNITS; seed += 1) {
    const calibration = await simulateCalibration(seed);
    for (let draw = 1; draw <= DRAWS; draw += 1) points.push(...checkCoverage(calibration, draw));
  }
  const { inside_share, normalised_rms } = coverageOf(points);
  // Units differ by about 4 % among each other, so the mean of twelve is known to 1.2 %: three times that, both ways.
  expect(inside_share).toBeGreaterThan(0.9);
  expect(inside_share).toBeLessThan(0.985);
  expect(normalised_rms).toBeGreaterThan(0.85);
  expect(normalised_rms).toBeLessThan(1.2);
  // An interval of half the width would be found out: it holds about 68 %.
  const halved = points.filter((p) => Math.abs(p.normalised) <= 1).length / points.length;
  expect(halved).toBeLessThan(0.8);
});
