import type { CauseEntry } from "../cause.ts";
import { fixed, worst } from "./sign-text.ts";

export const leak: CauseEntry = {
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
};

export const hunting: CauseEntry = {
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
};

export const ringing: CauseEntry = {
  cause: "ringing",
  words:
    "the output overshoots its steps: too much gain or too little damping in the relay, or too small a volume behind it",
  sign: ({ step_up, step_down, small_step }) => {
    const over = Math.max(...[step_up, step_down, small_step].map((s) => s?.overshoot_percent_of_step ?? 0));
    return { strength: over / 4, figures: `overshoot ${over.toFixed(1)} % of the step` };
  },
  explains: [],
};

export const drift: CauseEntry = {
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
};
