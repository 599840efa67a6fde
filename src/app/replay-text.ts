import { STATES } from "../run/settling/replay-words.ts";
import { type Replay, type ShownWait, settlingText } from "./replay.ts";
import { replayPlot } from "./replay-plot.ts";
import { textTable, wrapped } from "./text-table.ts";

/** Accuracy that a near view is measured by, % of span. */
export const limitOf = ({ settling }: Replay): number =>
  settling.rule === "detector" ? settling.limit_percent : settling.rule === "band" ? settling.band_percent : 0.05;

const head = (replay: Replay, width: number): readonly string[] => [
  ...(replay.simulated ? ["SIMULATED: no real unit stands behind these readings."] : []),
  ...wrapped(`Rule: ${settlingText(replay.settling)}`, "", width - 1),
  ...replay.remarks.flatMap((remark) => wrapped(remark, "", width - 1)),
];

/** One wait, plotted. */
export const replayWaitText = (replay: Replay, shown: ShownWait, width = 80): string =>
  [
    `Replay of ${shown.number}: ${shown.wait.name}`,
    ...head(replay, width),
    "",
    ...replayPlot(shown, limitOf(replay), width),
    ...(shown.replayed.learned.length === 0
      ? []
      : [
          "",
          "Learned by then:",
          ...shown.replayed.learned.flatMap((line) => wrapped(line, "  ", Math.min(width, 110) - 1)),
        ]),
  ].join("\n");

const row = ({ number, wait, replayed }: ShownWait): readonly string[] => {
  const { final, decided_s } = replayed;
  const reading = final?.kind === "settled" ? final.value.toFixed(3) : "";
  const word = final === null ? "no verdict" : final.kind === "settled" ? "settled" : STATES[final.kind].word;
  return [
    String(number),
    wait.start.role === "exercise" ? `${wait.name}, exercise` : wait.name,
    word,
    decided_s?.toFixed(1) ?? "",
    reading,
  ];
};

/** All waits of a source, one a line. */
export const replayListText = (replay: Replay, width = 80): string =>
  [
    ...head(replay, width),
    "",
    ...textTable([["point", "wait", "verdict", "after s", "% of span"], ...replay.waits.map(row)], 3),
    "",
    "See what the rule thought at each moment of one of them with --point.",
  ].join("\n");

/** Everything unrounded, with every moment of the waits that are named. */
export const replayJson = (replay: Replay, waits: readonly ShownWait[], withMoments: boolean): unknown => ({
  simulated: replay.simulated,
  settling: replay.settling,
  remarks: replay.remarks,
  waits: waits.map(({ number, wait, replayed }) => ({
    number,
    name: wait.name,
    unit: wait.unit,
    start: wait.start,
    ...(wait.said === undefined ? {} : { said_in_the_run: wait.said }),
    ...(wait.truth === undefined ? {} : { truth: wait.truth }),
    decided_s: replayed.decided_s,
    final: replayed.final,
    learned: replayed.learned,
    ...(withMoments ? { moments: replayed.moments } : {}),
  })),
});
