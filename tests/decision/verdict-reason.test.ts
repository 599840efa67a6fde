import { describe, expect, it } from "vitest";
import { verdictReasonDe } from "../../src/certificate/texts/reasons-de.ts";
import { type VerdictReason, verdictReasonText } from "../../src/decision/verdict-reason.ts";

const reason = (kind: VerdictReason["kind"]): VerdictReason => ({
  ordinal: 3,
  nominal_percent: 12.5,
  direction: "falling",
  cycle: 2,
  kind,
  error: "-0.515 kPa",
  limit: "0.400 kPa",
  U: "0.047 kPa",
});

/** Words of our own, not of a standard: what is held is that each says what the other says, with the same figures. */
const SAID: readonly (readonly [VerdictReason["kind"], RegExp, RegExp])[] = [
  ["guard-band", /within the limit, but inside the guard band/, /innerhalb der Grenze, aber im Schutzband/],
  ["narrowly-outside", /outside the limit by less than/, /um weniger als das Schutzband außerhalb/],
  ["outside", /: outside the limit: error -0.515 kPa/, /: außerhalb der Grenze: Abweichung −0,515\u00A0kPa/],
  ["unknown-u", /no statement: its uncertainty is not known/, /keine Aussage: die Messunsicherheit/],
  ["at-zero", /no statement: .*zero pressure/, /keine Aussage: .*drucklos/],
  ["at-supply", /no statement: .*at the supply/, /keine Aussage: .*Zuluft/],
  ["no-zone", /no statement: U = 0.047 kPa/, /keine Aussage: U = 0,047\u00A0kPa/],
  ["no-zone-and-beyond", /beyond the limit by more than U/, /um mehr als U außerhalb/],
];

describe("why a point did not pass", () => {
  it.each(SAID)("%s: in English and in German", (kind, english, german) => {
    expect(verdictReasonText(reason(kind))).toMatch(/^point 3 \(12\.5 % falling, cycle 2\): /);
    expect(verdictReasonText(reason(kind))).toMatch(english);
    expect(verdictReasonDe(reason(kind))).toMatch(/^Punkt 3 \(12,5\u00A0% fallend, Zyklus 2\): /);
    expect(verdictReasonDe(reason(kind))).toMatch(german);
  });

  it("a point at a ninth of the span is named without the tail of its decimals", () => {
    const ninth = { ...reason("outside"), nominal_percent: 100 / 9 };
    expect(verdictReasonText(ninth)).toMatch(/^point 3 \(11\.1111 % falling/);
    expect(verdictReasonDe(ninth)).toMatch(/^Punkt 3 \(11,1111\u00A0% fallend/);
  });
});
