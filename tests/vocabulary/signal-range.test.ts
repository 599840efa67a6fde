import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { kPa, mA, percentOfSpan } from "../../src/vocabulary/quantities.ts";
import {
  currentRangeText,
  idealOutput,
  inputFor,
  percentOf,
  pressureAt,
  pressureRangeText,
  sensitivity,
  spanOf,
  type Transfer,
} from "../../src/vocabulary/signal-range.ts";

const transfer: fc.Arbitrary<Transfer> = fc.record({
  input: fc
    .tuple(fc.double({ min: 0, max: 20, noNaN: true }), fc.double({ min: 1, max: 40, noNaN: true }))
    .map(([lower, span]) => ({ lower_mA: mA(lower), upper_mA: mA(lower + span) })),
  output: fc
    .tuple(fc.double({ min: -100, max: 200, noNaN: true }), fc.double({ min: 1, max: 700, noNaN: true }))
    .map(([lower, span]) => ({
      lower_kPa: kPa(lower),
      upper_kPa: kPa(lower + span),
      unit: "kPa" as const,
      mode: "gauge" as const,
    })),
  action: fc.constantFrom("direct", "reverse"),
  characteristic: fc.constantFrom("linear", "square-root"),
});

const plain = (change: Partial<Transfer> = {}): Transfer => ({
  input: { lower_mA: mA(4), upper_mA: mA(20) },
  output: { lower_kPa: kPa(20), upper_kPa: kPa(100), unit: "kPa", mode: "gauge" },
  action: "direct",
  characteristic: "linear",
  ...change,
});

describe("the ideal output", () => {
  it("is undone by inputFor, everywhere the characteristic reaches", () => {
    fc.assert(
      fc.property(transfer, fc.double({ min: -25, max: 125, noNaN: true }), (law, percent) => {
        const got = percentOf(law.output, idealOutput(law, inputFor(law, percentOfSpan(percent))));
        const foot = law.action === "direct" ? 0 : 100;
        const beyondFoot = law.action === "direct" ? percent < 0 : percent > 100;
        expect(got).toBeCloseTo(law.characteristic === "square-root" && beyondFoot ? foot : percent, 6);
      }),
    );
  });

  it("has its ends at the ends of the range", () => {
    fc.assert(
      fc.property(transfer, (law) => {
        const [low, high] = [idealOutput(law, law.input.lower_mA), idealOutput(law, law.input.upper_mA)];
        const [first, last] = law.action === "direct" ? [low, high] : [high, low];
        expect(first).toBeCloseTo(law.output.lower_kPa, 9);
        expect(last).toBeCloseTo(law.output.upper_kPa, 9);
      }),
    );
  });

  it("adds up to the sum of both ends for a unit and its reverse", () => {
    fc.assert(
      fc.property(transfer, fc.double({ min: 0, max: 60, noNaN: true }), (law, current) => {
        const other: Transfer = { ...law, action: law.action === "direct" ? "reverse" : "direct" };
        const sum = idealOutput(law, mA(current)) + idealOutput(other, mA(current));
        expect(sum).toBeCloseTo(law.output.lower_kPa + law.output.upper_kPa, 6);
      }),
    );
  });

  it("has the slope that sensitivity gives", () => {
    fc.assert(
      fc.property(transfer, fc.double({ min: 0.1, max: 1.2, noNaN: true }), (law, share) => {
        const width = law.input.upper_mA - law.input.lower_mA;
        const at = law.input.lower_mA + share * width;
        const step = 1e-5 * width;
        const slope = (idealOutput(law, mA(at + step)) - idealOutput(law, mA(at - step))) / (2 * step);
        expect(slope / sensitivity(law, mA(at))).toBeCloseTo(1, 6);
      }),
    );
  });

  it("goes on along its line beyond the range, below zero gauge too", () => {
    expect(idealOutput(plain(), mA(22))).toBeCloseTo(110, 12);
    expect(idealOutput(plain(), mA(0))).toBeCloseTo(0, 12);
    const fromZero = plain({ output: { lower_kPa: kPa(0), upper_kPa: kPa(100), unit: "kPa", mode: "gauge" } });
    expect(idealOutput(fromZero, mA(0))).toBeCloseTo(-25, 12);
  });

  it("of a square root stays at its foot below the range, and has no slope there", () => {
    const root = plain({ characteristic: "square-root" });
    expect(idealOutput(root, mA(2))).toBe(20);
    expect(sensitivity(root, mA(2))).toBe(0);
    expect(sensitivity(root, mA(4))).toBe(Number.POSITIVE_INFINITY);
    expect(idealOutput(root, mA(8))).toBeCloseTo(60, 12);
  });

  it("of both halves of a split range meets the whole range", () => {
    const output = plain().output;
    const low = plain({ input: { lower_mA: mA(4), upper_mA: mA(12) } });
    const high = plain({ input: { lower_mA: mA(12), upper_mA: mA(20) } });
    expect(idealOutput(low, mA(12))).toBeCloseTo(output.upper_kPa, 12);
    expect(idealOutput(high, mA(12))).toBeCloseTo(output.lower_kPa, 12);
    expect(idealOutput(low, mA(8))).toBeCloseTo(60, 12);
  });
});

describe("percent of span", () => {
  it("and pressure undo each other", () => {
    fc.assert(
      fc.property(transfer, fc.double({ min: -50, max: 150, noNaN: true }), ({ output }, percent) => {
        expect(percentOf(output, pressureAt(output, percentOfSpan(percent)))).toBeCloseTo(percent, 8);
        expect(spanOf(output)).toBeCloseTo(output.upper_kPa - output.lower_kPa, 12);
      }),
    );
  });
});

describe("range text", () => {
  it("speaks the owner's unit and says what it is measured against", () => {
    expect(currentRangeText({ lower_mA: mA(4), upper_mA: mA(20) })).toBe("4-20 mA");
    const psi = 6.894757293168361;
    expect(pressureRangeText({ lower_kPa: kPa(3 * psi), upper_kPa: kPa(15 * psi), unit: "psi", mode: "gauge" })).toBe(
      "3-15 psi gauge",
    );
    expect(pressureRangeText({ lower_kPa: kPa(-10), upper_kPa: kPa(10), unit: "kPa", mode: "differential" })).toBe(
      "-10 to 10 kPa differential",
    );
  });
});
