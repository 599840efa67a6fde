import { describe, expect, it } from "vitest";
import { Series } from "../../../../src/run/settling/detector/series.ts";
import { halfSwing } from "../../../../src/run/settling/detector/turns.ts";

const seriesOf = (value: (t: number) => number, to_s: number, step_s = 0.05): Series => {
  const series = new Series();
  for (let i = 0; i * step_s <= to_s; i++) series.push(i * step_s, value(i * step_s));
  return series;
};

describe("the swing that a point shows of itself", () => {
  it("is half the period of a damped oscillation from its peak on", () => {
    // x'' with period 2 s: the peak is at 1 s, the trough at 2 s.
    const ringing = (t: number): number => 10 * (1 - Math.exp(-t / 2) * Math.cos(Math.PI * t));
    expect(halfSwing(seriesOf(ringing, 2.05), 0.05)).toBeCloseTo(1, 1);
  });

  it("is nothing in an approach of two lags", () => {
    const lags = (t: number): number => 10 * (1 - 2 * Math.exp(-t) + Math.exp(-2 * t));
    expect(halfSwing(seriesOf(lags, 15), 0.05)).toBe(0);
  });

  it("does not take a single odd reading for a turn, nor a movement below what is visible", () => {
    const odd = (t: number): number => 10 * (1 - Math.exp(-t)) + (Math.abs(t - 3) < 0.01 ? 4 : 0);
    expect(halfSwing(seriesOf(odd, 10), 0.05)).toBe(0);
    const faint = (t: number): number => 10 * (1 - Math.exp(-t)) + 0.02 * Math.sin(6 * t);
    expect(halfSwing(seriesOf(faint, 10), 0.05)).toBe(0);
  });

  it("asks for no more than 3 s, however slowly the output goes on", () => {
    const back = (t: number): number => (t < 2 ? 5 * t : 10 - 0.05 * (t - 2));
    expect(halfSwing(seriesOf(back, 12), 0.05)).toBe(3);
  });

  it("needs three readings", () => {
    expect(
      halfSwing(
        seriesOf(() => 1, 0.05),
        0.05,
      ),
    ).toBe(0);
  });
});
