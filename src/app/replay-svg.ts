import type { Moment } from "../run/settling/replay.ts";
import { STATES } from "../run/settling/replay-words.ts";
import { isFinal, type SettlingVerdict } from "../run/settling/settling-rule.ts";
import { type Replay, type ShownWait, settlingText } from "./replay.ts";
import { verdictLines } from "./replay-plot.ts";
import { limitOf } from "./replay-text.ts";
import { isAveraged, type PlotWindow, plotWindow, type Span, tickDigits, ticks } from "./replay-window.ts";
import { wrapped } from "./text-table.ts";

/** Shapes, lines and words carry everything; black and greys only. Lengths in pixels. */
const WIDTH = 900;
const LEFT = 90;
const RIGHT = 870;
const WHOLE = { top: 96, bottom: 286 };
const NEAR = { top: 326, bottom: 516 };
const BAND = { top: 552, bottom: 576 };
const LEFT_OVER = { top: 612, bottom: 682 };

interface Box {
  readonly top: number;
  readonly bottom: number;
}

const escaped = (text: string): string =>
  text.replace(/[&<>"]/gu, (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[c] ?? c);
const n = (value: number): string => String(Number(value.toFixed(2)));

const text = (x: number, y: number, words: string, more = ""): string =>
  `<text x="${n(x)}" y="${n(y)}"${more === "" ? "" : ` ${more}`}>${escaped(words)}</text>`;
const line = (x1: number, y1: number, x2: number, y2: number, more = ""): string =>
  `<path d="M${n(x1)} ${n(y1)}L${n(x2)} ${n(y2)}" stroke="#000"${more === "" ? "" : ` ${more}`}/>`;

const xOf =
  ({ from_s, to_s }: PlotWindow) =>
  (t_s: number): number =>
    LEFT + ((t_s - from_s) / (to_s - from_s)) * (RIGHT - LEFT);
const yOf =
  ({ top, bottom }: Box, { low, high }: Span) =>
  (value: number): number =>
    bottom - ((value - low) / (high - low)) * (bottom - top);

const frame = (box: Box, span: Span, title: string, y: (value: number) => number, count: number): readonly string[] => {
  const at = ticks(span, count);
  const digits = tickDigits(at);
  return [
    `<rect x="${LEFT}" y="${box.top}" width="${RIGHT - LEFT}" height="${box.bottom - box.top}" fill="none" stroke="#000"/>`,
    text(LEFT, box.top - 7, title),
    ...at.flatMap((value) => [
      line(LEFT - 5, y(value), LEFT, y(value)),
      text(LEFT - 9, y(value) + 4, value.toFixed(digits), 'text-anchor="end"'),
    ]),
  ];
};

const timeTicks = (window: PlotWindow, box: Box, named: boolean): readonly string[] => {
  const at = ticks({ low: window.from_s, high: window.to_s }, 10);
  const digits = tickDigits(at);
  const x = xOf(window);
  return at.flatMap((t) => [
    line(x(t), box.bottom, x(t), box.bottom + 5),
    ...(named ? [text(x(t), box.bottom + 18, t.toFixed(digits), 'text-anchor="middle"')] : []),
  ]);
};

const mark = (shown: ShownWait, moment: Moment, x: number, y: number): string => {
  if (isAveraged(shown, moment))
    return `<rect x="${n(x - 3)}" y="${n(y - 3)}" width="6" height="6" fill="none" stroke="#000"/>`;
  if (moment.verdict !== null) return `<circle cx="${n(x)}" cy="${n(y)}" r="1.8" fill="#333"/>`;
  return `<path d="M${n(x - 2)} ${n(y - 2)}l4 4m0 -4l-4 4" stroke="#999" fill="none"/>`;
};

const readings = (
  shown: ShownWait,
  window: PlotWindow,
  span: Span,
  y: (value: number) => number,
): readonly string[] => {
  const x = xOf(window);
  return window.moments.flatMap((moment) =>
    moment.value === null || !(moment.value >= span.low && moment.value <= span.high)
      ? []
      : [mark(shown, moment, x(moment.t_s), y(moment.value))],
  );
};

/** The mean that is recorded, as a line over the readings it is the mean of, with its standard uncertainty. */
const recorded = ({ replayed }: ShownWait, window: PlotWindow, y: (value: number) => number): readonly string[] => {
  const { final, start } = replayed;
  if (final?.kind !== "settled") return [];
  const x = xOf(window);
  const [from, to] = [x(final.from_s - start.at_s), x(final.to_s - start.at_s)];
  return [
    line(from, y(final.value), Math.max(to, from + 2), y(final.value), 'stroke-width="2.5"'),
    ...[final.u, -final.u].map((u) =>
      line(from, y(final.value + u), RIGHT, y(final.value + u), 'stroke-dasharray="2 4"'),
    ),
  ];
};

/** A wait is a bar, high while the output moves and half as high while it settles; a last word is a lozenge. */
const SHARE: Partial<Readonly<Record<SettlingVerdict["kind"], number>>> = { moving: 1, settling: 0.6 };

const band = ({ replayed }: ShownWait, window: PlotWindow): readonly string[] => {
  const x = xOf(window);
  const judged = window.moments.filter((m): m is Moment & { verdict: SettlingVerdict } => m.verdict !== null);
  const parts: { kind: SettlingVerdict["kind"]; from: number; to: number }[] = [];
  for (const { t_s, verdict } of judged) {
    const last = parts.at(-1);
    if (last !== undefined) last.to = x(t_s);
    if (last?.kind !== verdict.kind) parts.push({ kind: verdict.kind, from: x(t_s), to: x(t_s) });
  }
  const height = BAND.bottom - BAND.top;
  return [
    text(LEFT, BAND.top - 7, "What the rule said"),
    ...parts.flatMap(({ kind, from, to }) => {
      const { word } = STATES[kind];
      const share = SHARE[kind];
      if (share === undefined) {
        const flip = from > RIGHT - 170;
        // Above the bar, where no other word stands: beside it, it would cover what came before.
        const at = flip ? RIGHT : Math.max(from - 5, LEFT + 140);
        return [
          `<path d="M${n(from)} ${BAND.top - 4}l5 ${height / 2 + 4}l-5 ${height / 2 + 4}l-5 ${-height / 2 - 4}z" fill="#000"/>`,
          text(at, BAND.top - 7, word, `font-weight="bold"${flip ? ' text-anchor="end"' : ""}`),
        ];
      }
      const wide = to - from > 8 * word.length + 8;
      const fill = kind === "moving" ? "#fff" : "#ddd";
      return [
        `<rect x="${n(from)}" y="${n(BAND.bottom - share * height)}" width="${n(Math.max(0.5, to - from))}" height="${n(share * height)}" fill="${fill}" stroke="#000"/>`,
        ...(wide ? [text((from + to) / 2, BAND.bottom - (share * height) / 2 + 4, word, 'text-anchor="middle"')] : []),
      ];
    }),
    ...(replayed.decided_s === null
      ? []
      : [WHOLE, NEAR, LEFT_OVER].map(({ top, bottom }) =>
          line(x(replayed.decided_s ?? 0), top, x(replayed.decided_s ?? 0), bottom, 'stroke-dasharray="6 4"'),
        )),
  ];
};

/** Seconds still expected as a line with steps, confidence as a broken one from 0 to 1. */
const foreseen = (window: PlotWindow): readonly string[] => {
  const x = xOf(window);
  const told = window.moments.flatMap(({ t_s, verdict }) =>
    verdict === null || isFinal(verdict) || !("confidence" in verdict) ? [] : [{ t_s, ...verdict }],
  );
  const most = Math.max(1, ...told.map((v) => v.expected_s ?? 0));
  const span = { low: 0, high: 1.1 * most };
  const y = yOf(LEFT_OVER, span);
  const sure = yOf(LEFT_OVER, { low: 0, high: 1.1 });
  let pen = "M";
  const left = told.map(({ t_s, expected_s }) => {
    if (expected_s === null) {
      pen = "M";
      return "";
    }
    const step = `${pen}${n(x(t_s))} ${n(y(expected_s))}`;
    pen = "L";
    return step;
  });
  const confidence = told.map((v, i) => `${i === 0 ? "M" : "L"}${n(x(v.t_s))} ${n(sure(v.confidence))}`);
  return [
    ...frame(LEFT_OVER, span, "Seconds still expected (full line) and confidence, 0 to 1 (broken line)", y, 3),
    ...(left.join("") === ""
      ? [text((LEFT + RIGHT) / 2, LEFT_OVER.top + 40, "no time was foretold", 'text-anchor="middle"')]
      : [`<path d="${left.join("")}" fill="none" stroke="#000" stroke-width="1.5"/>`]),
    ...(confidence.length === 0
      ? []
      : [`<path d="${confidence.join("")}" fill="none" stroke="#777" stroke-width="1.5" stroke-dasharray="5 3"/>`]),
    ...timeTicks(window, LEFT_OVER, true),
    text((LEFT + RIGHT) / 2, LEFT_OVER.bottom + 36, "time since the last command, s", 'text-anchor="middle"'),
  ];
};

const legend = (y: number): readonly string[] => [
  `<circle cx="${LEFT + 4}" cy="${y - 4}" r="1.8" fill="#333"/>`,
  text(LEFT + 12, y, "shown to the rule"),
  `<rect x="${LEFT + 137}" y="${y - 7}" width="6" height="6" fill="none" stroke="#000"/>`,
  text(LEFT + 150, y, "averaged"),
  `<path d="M${LEFT + 228} ${y - 6}l4 4m0 -4l-4 4" stroke="#999"/>`,
  text(LEFT + 239, y, "before the last command or after the verdict"),
  line(LEFT + 520, y - 4, LEFT + 545, y - 4, 'stroke-dasharray="6 4"'),
  text(LEFT + 552, y, "verdict"),
];

/** One wait as a drawing that stands alone. */
export const replaySvg = (replay: Replay, shown: ShownWait): string => {
  const window = plotWindow(shown, limitOf(replay));
  const whole = yOf(WHOLE, window.whole);
  const near = yOf(NEAR, window.near);
  const words = verdictLines(shown).flatMap((sentence) => wrapped(sentence, "", 118));
  const wordsTop = LEFT_OVER.bottom + 88;
  const height = wordsTop + 18 * words.length + 12;
  const title = `Settling of ${shown.wait.name}`;
  const parts = [
    text(LEFT, 30, title, 'font-size="19" font-weight="bold"'),
    text(LEFT, 52, `Rule: ${settlingText(replay.settling)}`),
    ...(replay.simulated
      ? [
          text(RIGHT, 30, "SIMULATED", 'text-anchor="end" font-size="19" font-weight="bold"'),
          text((LEFT + RIGHT) / 2, 230, "SIMULATED", 'text-anchor="middle" font-size="110" fill="#ececec"'),
        ]
      : []),
    ...frame(WHOLE, window.whole, "Output, % of span", whole, 5),
    ...timeTicks(window, WHOLE, false),
    ...readings(shown, window, window.whole, whole),
    ...frame(NEAR, window.near, "The same near its end, % of span", near, 5),
    ...timeTicks(window, NEAR, false),
    ...readings(shown, window, window.near, near),
    ...recorded(shown, window, near),
    ...band(shown, window),
    ...foreseen(window),
    ...legend(LEFT_OVER.bottom + 62),
    ...words.map((sentence, i) => text(LEFT, wordsTop + 18 * i, sentence)),
  ];
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${WIDTH}" height="${height}" viewBox="0 0 ${WIDTH} ${height}" font-family="DejaVu Sans, Helvetica, Arial, sans-serif" font-size="13" stroke="none" role="img">
<title>${escaped(replay.simulated ? `${title} (SIMULATED)` : title)}</title>
<rect width="100%" height="100%" fill="#fff"/>
${parts.join("\n")}
</svg>
`;
};
