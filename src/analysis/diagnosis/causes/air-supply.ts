import type { CauseEntry } from "../cause.ts";
import { fixed, worst } from "./sign-text.ts";

export const supplyLow: CauseEntry = {
  cause: "supply-low",
  words:
    "the supply is too low for full output: the output meets a ceiling. Raise the regulator, look for a clogged filter",
  sign: ({ curve, supply, tolerance_percent }) => {
    if (curve === null || supply === null || curve.top_short_percent > -tolerance_percent) return null;
    if (supply.at_kPa > supply.lower_kPa) return null;
    return {
      strength: 3 + -curve.top_short_percent / tolerance_percent,
      figures: `supply ${supply.at_kPa.toFixed(0)} kPa where ${supply.lower_kPa.toFixed(0)} are rated; full output ${curve.top_short_percent.toFixed(1)} % short`,
    };
  },
  explains: [
    "bent-curve",
    "span-off",
    "supply-sensitive",
    "friction",
    "wrong-range",
    "clogged-feed",
    "blocked-exhaust",
    "worn-linkage",
  ],
};

export const supplyDroop: CauseEntry = {
  cause: "supply-droop",
  words: "the supply gives way while the unit fills: a weak regulator, a clogged filter, or too narrow a supply line",
  sign: ({ supply }) =>
    supply === null || supply.droop_kPa === null
      ? null
      : {
          strength: supply.droop_kPa / (0.1 * supply.at_kPa),
          figures: `fell by ${supply.droop_kPa.toFixed(1)} kPa of ${supply.at_kPa.toFixed(0)} kPa while filling`,
        },
  explains: ["clogged-feed", "clogged-restrictor", "supply-sensitive", "long-line"],
};

export const supplyPulsating: CauseEntry = {
  cause: "supply-pulsating",
  words:
    "the supply pulsates and the output with it: look at compressor, receiver and regulator, and for water in the line",
  sign: ({ supply, holds }) => {
    const swing = worst(
      holds.flatMap((h) => (h.swing === null ? [] : [h.swing])),
      (s) => s.amplitude_percent,
    );
    if (supply === null || supply.swing_kPa === null) return null;
    const strength = supply.swing_kPa / (0.02 * supply.at_kPa);
    return strength < 1
      ? null
      : {
          strength,
          figures: `supply swings ${supply.swing_kPa.toFixed(1)} kPa either way${swing === undefined ? "" : `, output ${swing.amplitude_percent.toFixed(2)} %`}`,
        };
  },
  explains: ["hunting", "friction", "drift", "supply-sensitive", "supply-droop"],
};

export const supplySensitive: CauseEntry = {
  cause: "supply-sensitive",
  words: "the output follows the supply: a worn regulator inside the unit, or a relay out of balance",
  sign: ({ supply }) =>
    supply === null || supply.influence_percent_per_10_kPa === null
      ? null
      : {
          strength: Math.abs(supply.influence_percent_per_10_kPa) / 0.15,
          figures: `${fixed(supply.influence_percent_per_10_kPa)} % of span for 10 kPa`,
        },
  explains: [],
};
