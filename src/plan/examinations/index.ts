import type { ExaminationDraft, ExamineStep } from "../examination.ts";

/** Times are common practice, no source, unless one is named. */
const stepWatch_s = (limit_s: number | null): number => Math.max(15, Math.min(60, limit_s ?? 20));

const steps = (prefix: string, watch_s: number): readonly ExamineStep[] => [
  { kind: "rest", at_percent: 10, for_s: 8 },
  { kind: "jump", name: `${prefix}step up`, to_percent: 90, watch_s },
  { kind: "jump", name: `${prefix}step down`, to_percent: 10, watch_s },
];

/** The tests that explain a unit: one entry each. */
export const EXAMINATIONS: readonly ExaminationDraft[] = [
  {
    name: "step-response",
    summary: "step up and down: dead time, T63, T90, settling, overshoot, greatest rate, volume and restriction",
    steps: ({ settling_limit_s }) => [
      ...steps("", stepWatch_s(settling_limit_s)),
      // Too small for the flow to limit it: ringing that a large step hides shows here.
      { kind: "rest", at_percent: 45, for_s: 10 },
      { kind: "jump", name: "small step", to_percent: 55, watch_s: 20 },
    ],
  },
  {
    name: "line",
    summary: "the same steps on a short line and on the installed one: what part of the delay the line plays",
    steps: ({ settling_limit_s }) => [
      { kind: "act", act: { kind: "change-line", line: "short" } },
      ...steps("short line, ", stepWatch_s(settling_limit_s)),
      { kind: "rest", at_percent: 0, for_s: 5 },
      { kind: "act", act: { kind: "change-line", line: "installed" } },
      ...steps("installed line, ", stepWatch_s(settling_limit_s)),
    ],
  },
  {
    name: "supply",
    summary: "influence of the supply, droop while filling, lowest supply for full output",
    steps: ({ supply_kPa: { lower, nominal, upper } }) => [
      { kind: "rest", at_percent: 10, for_s: 8 },
      { kind: "jump", name: "filling", to_percent: 100, watch_s: 15 },
      ...[upper, nominal, lower, lower - 0.1 * nominal, lower - 0.2 * nominal].flatMap(
        (supply_kPa, i): readonly ExamineStep[] => [
          { kind: "act", act: { kind: "set-supply", supply_kPa: Math.round(supply_kPa) } },
          { kind: "rest", at_percent: 100, for_s: 10 },
          { kind: "watch", name: "full output", for_s: 8 },
          ...(i > 2
            ? []
            : ([
                { kind: "rest", at_percent: 50, for_s: 10 },
                { kind: "watch", name: "half output", for_s: 8 },
              ] as const)),
        ],
      ),
      { kind: "act", act: { kind: "set-supply", supply_kPa: Math.round(nominal) } },
    ],
  },
  {
    name: "leak",
    summary: "pressure decay behind a closed valve at the top of the range",
    steps: () => [
      { kind: "rest", at_percent: 100, for_s: 20 },
      { kind: "act", act: { kind: "close-valve" } },
      { kind: "watch", name: "closed", for_s: 60 },
      { kind: "act", act: { kind: "open-valve" } },
    ],
  },
  {
    name: "dead-band",
    summary: "dead band at three points, by fine stairs after a rise",
    steps: () =>
      [25, 50, 75].flatMap((at): readonly ExamineStep[] => [
        { kind: "rest", at_percent: at - 8, for_s: 6 },
        { kind: "rest", at_percent: at, for_s: 10 },
        { kind: "stairs", name: `back from ${at} %`, step_percent: -0.08, steps: 16, dwell_s: 4 },
      ]),
  },
  {
    name: "hold",
    summary: "friction, hunting, creep and drift while the input stands at three points",
    steps: () => [
      { kind: "rest", at_percent: 10, for_s: 8 },
      ...[25, 75, 50].map(
        (at): ExamineStep => ({ kind: "jump", name: `hold at ${at} %`, to_percent: at, watch_s: 90 }),
      ),
    ],
  },
  {
    name: "mounting",
    summary: "shift between the upright and another mounting position, at two points",
    steps: () =>
      ["upright", "lying on its side", "upright again"].flatMap((position): readonly ExamineStep[] => [
        { kind: "act", act: { kind: "mount", position } },
        // Both points from below, so that hysteresis is not taken for an effect of the mounting.
        { kind: "rest", at_percent: 0, for_s: 8 },
        ...[10, 90].flatMap((at): readonly ExamineStep[] => [
          { kind: "rest", at_percent: at, for_s: 15 },
          { kind: "watch", name: `${position}, ${at} %`, for_s: 6 },
        ]),
      ]),
  },
];

export const examinationNames = (): readonly string[] => EXAMINATIONS.map(({ name }) => name);
