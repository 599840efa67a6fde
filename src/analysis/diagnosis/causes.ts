import type { Evidence } from "./evidence.ts";

/** Causes that the tests can point to. */
export type Cause =
  | "reversed"
  | "loop-current"
  | "supply-low"
  | "supply-droop"
  | "supply-pulsating"
  | "supply-sensitive"
  | "wrong-range"
  | "leak"
  | "hunting"
  | "ringing"
  | "drift"
  | "worn-linkage"
  | "friction"
  | "clogged-restrictor"
  | "clogged-feed"
  | "blocked-exhaust"
  | "long-line"
  | "bent-curve"
  | "zero-off"
  | "span-off";

/** How strongly a cause shows: the figure over its threshold; 1 and more counts. With the figures behind it. */
export interface Sign {
  readonly strength: number;
  readonly figures: string;
}

export interface CauseEntry {
  readonly cause: Cause;
  /** What it is and what to look at, for a person. */
  readonly words: string;
  readonly sign: (evidence: Evidence) => Sign | null;
  /** Causes whose signs this one brings along. */
  readonly explains: readonly Cause[];
}

/** Other output ranges that a unit may have been built for, kPa: IEC 60382, and 3 to 15 psi. */
const RANGES = [
  { name: "20 to 100 kPa", lower: 20, upper: 100 },
  { name: "3 to 15 psi", lower: 20.684, upper: 103.421 },
  { name: "6 to 30 psi", lower: 41.369, upper: 206.843 },
] as const;

/** Slower than this at 63 % of a large step is slow for a converter on a short line, s; common practice, no source. */
const SLOW_S = 4;
/** A direction that takes this much longer than the other points to one of the two ways of the air. */
const LOPSIDED = 2.2;

const fixed = (value: number, digits = 2): string => `${value < 0 ? "" : "+"}${value.toFixed(digits)}`;

const wrongRange = ({ curve, tolerance_percent }: Evidence): Sign | null => {
  if (curve === null) return null;
  const span = curve.upper_kPa - curve.lower_kPa;
  const near = RANGES.filter(
    (r) => Math.abs(r.lower - curve.lower_kPa) > 0.1 || Math.abs(r.upper - curve.upper_kPa) > 0.1,
  )
    .map((r) => ({
      name: r.name,
      zero: (100 * (r.lower - curve.lower_kPa)) / span,
      span: (100 * (r.upper - r.lower - span)) / span,
    }))
    .find(
      (r) =>
        Math.abs(curve.zero_percent - r.zero) < 0.8 * tolerance_percent &&
        Math.abs(curve.span_percent - r.span) < 1.2 * tolerance_percent,
    );
  return near === undefined
    ? null
    : {
        strength: 3,
        figures: `zero ${fixed(curve.zero_percent)} % and span ${fixed(curve.span_percent)} % are those of a ${near.name} unit`,
      };
};

const speeds = ({ step_up, step_down }: Evidence) => {
  const [up, down] = [step_up?.t63_s ?? null, step_down?.t63_s ?? null];
  return up === null || down === null ? null : { up, down };
};

/** Slow both ways: by a rate, which a restriction sets, or by a lag, which a line and its volume set. */
const slowBothWays = (evidence: Evidence, byRate: boolean): Sign | null => {
  const t = speeds(evidence);
  if (t === null || t.up > LOPSIDED * t.down || t.down > LOPSIDED * t.up) return null;
  const models = [evidence.step_up?.model, evidence.step_down?.model];
  const rates = models.filter((m) => m !== null && m !== undefined && m.rate_percent_per_s !== null).length;
  const limited = rates === 2 || (rates === 1 && lagOf(evidence) < 0.5 * SLOW_S);
  if (limited !== byRate) return null;
  const slowest = Math.max(t.up, t.down);
  return {
    strength: slowest / SLOW_S,
    figures: `63 % after ${t.up.toFixed(1)} s up and ${t.down.toFixed(1)} s down, ${byRate ? "at a steady rate" : "as a lag"}`,
  };
};

const lagOf = ({ step_up, step_down }: Evidence): number =>
  Math.max(
    ...[step_up, step_down].map((s) => (s?.model === null || s === null ? 0 : s.model.tau_s + s.model.line_tau_s)),
  );

const worst = <T>(items: readonly T[], of: (item: T) => number): T | undefined =>
  items.toSorted((a, b) => of(b) - of(a))[0];

export const CAUSES: readonly CauseEntry[] = [
  {
    cause: "reversed",
    words:
      "the action is reversed: the output falls where it should rise. Check direct or reverse action of the unit and its file",
    sign: ({ curve }) =>
      curve !== null && curve.slope < 0
        ? { strength: 100, figures: `slope ${curve.slope.toFixed(2)} of the ideal` }
        : null,
    explains: ["zero-off", "span-off", "bent-curve", "friction", "supply-low", "wrong-range", "supply-sensitive"],
  },
  {
    cause: "loop-current",
    words:
      "the current that flows is not the one commanded: look at the loop, its wiring and the source before the unit",
    sign: ({ current_off_mA }) =>
      current_off_mA === null
        ? null
        : {
            strength: Math.abs(current_off_mA) / 0.05,
            figures: `${fixed(current_off_mA, 3)} mA between commanded and measured`,
          },
    explains: ["zero-off", "span-off", "wrong-range"],
  },
  {
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
  },
  {
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
  },
  {
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
  },
  {
    cause: "wrong-range",
    words: "zero and span fit another standard range: the unit, or its file, is for that range",
    sign: wrongRange,
    explains: ["zero-off", "span-off"],
  },
  {
    cause: "leak",
    words: "pressure is lost behind the closed valve: tighten or renew fittings and hoses, and test again",
    sign: ({ leak_percent_per_min }) =>
      leak_percent_per_min === null
        ? null
        : {
            strength: leak_percent_per_min / 0.3,
            figures: `${leak_percent_per_min.toFixed(2)} % of span lost in a minute`,
          },
    explains: ["drift", "zero-off", "span-off"],
  },
  {
    cause: "hunting",
    words: "the output hunts: friction in the relay, too much gain, or too small a volume behind the unit",
    sign: ({ holds }) => {
      const swing = worst(
        holds.flatMap((h) => (h.swing === null ? [] : [h.swing])),
        (s) => s.amplitude_percent,
      );
      return swing === undefined
        ? null
        : {
            strength: Math.max(1, swing.amplitude_percent / 0.05),
            figures: `${swing.amplitude_percent.toFixed(2)} % either way every ${swing.period_s.toFixed(1)} s`,
          };
    },
    explains: ["friction", "worn-linkage", "drift", "ringing"],
  },
  {
    cause: "ringing",
    words:
      "the output overshoots its steps: too much gain or too little damping in the relay, or too small a volume behind it",
    sign: ({ step_up, step_down, small_step }) => {
      const over = Math.max(...[step_up, step_down, small_step].map((s) => s?.overshoot_percent_of_step ?? 0));
      return { strength: over / 4, figures: `overshoot ${over.toFixed(1)} % of the step` };
    },
    explains: [],
  },
  {
    cause: "long-line",
    words:
      "slow both ways as a lag: a long or narrow line, or a large volume at its end; compare a short line (test `line`)",
    sign: (evidence) => slowBothWays(evidence, false),
    // A slow end looks like drift, and stairs that do not wait for it like play.
    explains: ["drift", "worn-linkage", "friction"],
  },
  {
    cause: "drift",
    words: "the output creeps on at a standing input: warm-up, a leaking bellows, or a dirty nozzle",
    sign: ({ holds }) => {
      const hold = worst(holds, (h) => Math.abs(h.drift_percent_per_min));
      return hold === undefined
        ? null
        : {
            strength: Math.abs(hold.drift_percent_per_min) / 0.1,
            figures: `${fixed(hold.drift_percent_per_min)} % of span a minute at ${hold.at_percent} %`,
          };
    },
    explains: ["zero-off"],
  },
  {
    cause: "worn-linkage",
    words: "play between input and output: worn pivots or a loose linkage",
    sign: ({ dead_band_percent }) =>
      dead_band_percent === null
        ? null
        : { strength: dead_band_percent / 0.2, figures: `dead band ${dead_band_percent.toFixed(2)} %` },
    explains: ["friction"],
  },
  {
    cause: "friction",
    words: "rising and falling differ more than the dead band: friction, dirt, or a tired flexure or diaphragm",
    sign: ({ curve }) =>
      curve === null
        ? null
        : { strength: curve.hysteresis_percent / 0.35, figures: `hysteresis ${curve.hysteresis_percent.toFixed(2)} %` },
    explains: [],
  },
  {
    cause: "clogged-restrictor",
    words: "slow both ways at a steady rate: a clogged restrictor, nozzle or filter lets too little air through",
    sign: (evidence) => slowBothWays(evidence, true),
    explains: [],
  },
  {
    cause: "clogged-feed",
    words: "fills slowly and empties well: the way of the air in is narrowed (supply screen, filter, feed port)",
    sign: (evidence) => {
      const t = speeds(evidence);
      if (t === null || t.up < LOPSIDED * t.down) return null;
      return {
        strength: Math.max(1, t.up / SLOW_S),
        figures: `63 % after ${t.up.toFixed(1)} s up, ${t.down.toFixed(1)} s down`,
      };
    },
    explains: [],
  },
  {
    cause: "blocked-exhaust",
    words: "fills well and empties slowly: the exhaust is blocked or too narrow",
    sign: (evidence) => {
      const t = speeds(evidence);
      if (t === null || t.down < LOPSIDED * t.up) return null;
      return {
        strength: Math.max(1, t.down / SLOW_S),
        figures: `63 % after ${t.up.toFixed(1)} s up, ${t.down.toFixed(1)} s down`,
      };
    },
    explains: [],
  },
  {
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
  },
  {
    cause: "bent-curve",
    words: "the curve is bent: nozzle and flapper out of line, or bellows that were overloaded; no screw removes it",
    sign: ({ curve, tolerance_percent }) =>
      curve === null
        ? null
        : {
            strength: Math.abs(curve.bend_percent) / (0.5 * tolerance_percent),
            figures: `bend ${curve.bend_percent.toFixed(2)} %`,
          },
    explains: [],
  },
  {
    cause: "zero-off",
    words: "zero is off: adjust zero, then check span",
    sign: ({ curve, tolerance_percent }) =>
      curve === null
        ? null
        : {
            strength: Math.abs(curve.zero_percent) / tolerance_percent,
            figures: `zero error ${fixed(curve.zero_percent)} %`,
          },
    explains: [],
  },
  {
    cause: "span-off",
    words: "span is off: adjust span, then check zero",
    sign: ({ curve, tolerance_percent }) =>
      curve === null
        ? null
        : {
            strength: Math.abs(curve.span_percent) / tolerance_percent,
            figures: `span error ${fixed(curve.span_percent)} %`,
          },
    explains: [],
  },
];
