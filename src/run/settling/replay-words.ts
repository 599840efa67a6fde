import type { SettlingVerdict } from "./settling-rule.ts";

/** One letter and one word for each thing a rule can say, the same in every view. */
export const STATES: Readonly<Record<SettlingVerdict["kind"], { readonly letter: string; readonly word: string }>> = {
  moving: { letter: "m", word: "moving" },
  settling: { letter: "s", word: "settling" },
  settled: { letter: "R", word: "settled, reading taken" },
  hunting: { letter: "H", word: "hunting" },
  drifting: { letter: "D", word: "drifting" },
  "not-settled": { letter: "N", word: "not settled in time" },
  "no-new-data": { letter: "?", word: "no new data" },
};

const percent = (value: number, digits = 3): string => `${value.toFixed(digits)} % of span`;

/** A verdict as a sentence; `at_s` is the time since the command at which it was said. */
export const verdictSentence = (verdict: SettlingVerdict, at_s: number, command_at_s = 0): string => {
  const after = `after ${at_s.toFixed(1)} s`;
  switch (verdict.kind) {
    case "moving":
      return `still moving ${after}`;
    case "settling":
      return `still settling ${after}`;
    case "settled": {
      const [from, to] = [verdict.from_s - command_at_s, verdict.to_s - command_at_s];
      const rest = `${percent(verdict.u)}, of which ${percent(verdict.u_residual)} for movement still to come`;
      return `settled ${after}: ${percent(verdict.value)}, mean of the readings from ${from.toFixed(1)} s to ${to.toFixed(1)} s; standard uncertainty ${rest}`;
    }
    case "hunting":
      return `hunting, said ${after}: ${percent(verdict.amplitude)} to either side of ${percent(verdict.centre)}, every ${verdict.period_s.toFixed(1)} s; no reading is taken`;
    case "drifting":
      return `drifting, said ${after}: ${percent(verdict.rate_per_min)} a minute; no reading is taken`;
    case "not-settled":
      return `not settled in ${verdict.waited_s.toFixed(0)} s; no reading is taken`;
    case "no-new-data":
      return `no new data from the gauge for ${verdict.for_s.toFixed(1)} s, said ${after}; no reading is taken`;
  }
};
