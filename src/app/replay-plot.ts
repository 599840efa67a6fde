import type { Moment } from "../run/settling/replay.ts";
import { STATES, verdictSentence } from "../run/settling/replay-words.ts";
import { isFinal, type SettlingVerdict } from "../run/settling/settling-rule.ts";
import type { ShownWait } from "./replay.ts";
import { isAveraged, type PlotWindow, plotWindow, type Span, tickDigits, ticks } from "./replay-window.ts";
import { wrapped } from "./text-table.ts";

const MARGIN = 9;

/** Time to columns. */
interface Columns {
  readonly count: number;
  of(t_s: number): number;
}

const columnsOf = (window: PlotWindow, width: number): Columns => {
  const count = Math.max(20, width - MARGIN - 1);
  const span = window.to_s - window.from_s;
  return {
    count,
    of: (t_s) => Math.min(count - 1, Math.max(0, Math.round(((t_s - window.from_s) / span) * (count - 1)))),
  };
};

const gutter = (text: string): string => `${text.padStart(MARGIN - 1)} `;

/** Marks from weak to strong: a stronger one is never covered. */
const MARKS = " .^v*o";

/** Pressure against time in plain characters; what lies beyond the edges stands on them as ^ and v where `edges`. */
const panel = (
  shown: ShownWait,
  window: PlotWindow,
  span: Span,
  rows: number,
  columns: Columns,
  edges: boolean,
): readonly string[] => {
  const grid = Array.from({ length: rows }, () => Array.from({ length: columns.count }, () => " "));
  const rowOf = (value: number): number => Math.round(((span.high - value) / (span.high - span.low)) * (rows - 1));
  const put = (row: number, column: number, mark: string): void => {
    const line = grid[row];
    if (line !== undefined && MARKS.indexOf(mark) > MARKS.indexOf(line[column] ?? " ")) line[column] = mark;
  };
  for (const moment of window.moments) {
    if (moment.value === null || !Number.isFinite(moment.value)) continue;
    const row = rowOf(moment.value);
    const column = columns.of(moment.t_s);
    const mark = isAveraged(shown, moment) ? "o" : moment.verdict === null ? "." : "*";
    if (row >= 0 && row < rows) put(row, column, mark);
    else if (edges) put(row < 0 ? 0 : rows - 1, column, row < 0 ? "^" : "v");
  }
  const at = ticks(span, rows / 3);
  const digits = tickDigits(at);
  const labels = new Map(at.map((value) => [rowOf(value), value.toFixed(digits)]));
  return grid.map((line, row) => {
    const label = labels.get(row);
    return `${gutter(label ?? "")}${label === undefined ? "|" : "+"}${line.join("")}`.trimEnd();
  });
};

const timeAxis = (window: PlotWindow, columns: Columns): readonly string[] => {
  const line = Array.from({ length: columns.count }, () => "-");
  const below = Array.from({ length: columns.count + 4 }, () => " ");
  const at = ticks({ low: window.from_s, high: window.to_s }, columns.count / 10);
  const digits = tickDigits(at);
  for (const t of at) {
    const column = columns.of(t);
    line[column] = "+";
    const text = t.toFixed(digits);
    [...text].forEach((c, i) => {
      below[Math.max(0, column - Math.floor((text.length - 1) / 2)) + i] = c;
    });
  }
  return [`${gutter("")}+${line.join("")}`, `${gutter("t, s")} ${below.join("").trimEnd()}`];
};

/** The last verdict in each column, carried on where a column has no sample of its own; null outside the wait. */
const verdictColumns = (window: PlotWindow, columns: Columns): readonly (SettlingVerdict | null)[] => {
  const row: (SettlingVerdict | null)[] = Array.from({ length: columns.count }, () => null);
  const judged = window.moments.filter((m): m is Moment & { verdict: SettlingVerdict } => m.verdict !== null);
  judged.forEach((moment, i) => {
    const next = judged[i + 1];
    const from = columns.of(moment.t_s);
    const to = next === undefined ? from + 1 : Math.max(from + 1, columns.of(next.t_s));
    row.fill(moment.verdict, from, to);
  });
  return row;
};

const thoughts = (window: PlotWindow, columns: Columns): readonly string[] => {
  const row = verdictColumns(window, columns);
  const letters = row.map((v) => (v === null ? " " : STATES[v.kind].letter)).join("");
  const left = Array.from({ length: columns.count }, () => " ");
  for (let column = 0; column < columns.count; column += 6) {
    const verdict = row[column];
    if (verdict === null || verdict === undefined || isFinal(verdict)) continue;
    const text = "expected_s" in verdict && verdict.expected_s !== null ? String(Math.ceil(verdict.expected_s)) : "-";
    [...text].slice(0, 5).forEach((c, i) => {
      if (column + i < left.length) left[column + i] = c;
    });
  }
  const sure = row.map((v) =>
    v !== null && "confidence" in v ? String(Math.max(0, Math.min(9, Math.floor(10 * v.confidence)))) : " ",
  );
  const rows: readonly (readonly [string, string])[] = [
    ["state", letters],
    ["s left", left.join("")],
    ["sure", sure.join("")],
  ];
  return rows.map(([name, text]) => `${gutter(name)}|${text}`.trimEnd());
};

/** Stretches of one state, in words. */
const stretches = ({ replayed }: ShownWait): readonly string[] => {
  const found: { readonly kind: SettlingVerdict["kind"]; readonly from_s: number; to_s: number }[] = [];
  for (const { verdict, t_s } of replayed.moments) {
    if (verdict === null) continue;
    const last = found.at(-1);
    if (last?.kind === verdict.kind) last.to_s = t_s;
    else {
      if (last !== undefined) last.to_s = t_s;
      found.push({ kind: verdict.kind, from_s: t_s, to_s: t_s });
    }
  }
  return found.map(({ kind, from_s, to_s }) => {
    const { letter, word } = STATES[kind];
    return kind === "moving" || kind === "settling"
      ? `${letter} ${word} ${from_s.toFixed(1)} to ${to_s.toFixed(1)} s`
      : `${letter} ${word} at ${from_s.toFixed(1)} s`;
  });
};

/** The rule's last word, the pressure where the range is known, and how it stands to the run and to the truth. */
export const verdictLines = ({ wait, replayed }: ShownWait): readonly string[] => {
  const { final, decided_s, start } = replayed;
  const last = replayed.moments.findLast((m) => m.verdict !== null);
  const lines = [
    final === null || decided_s === null
      ? `No verdict: the samples end after ${(last?.t_s ?? 0).toFixed(1)} s while the rule still waits.`
      : `Verdict: ${verdictSentence(final, decided_s, start.at_s)}.`,
  ];
  if (final?.kind === "settled" && wait.range_kPa !== undefined) {
    const { lower, upper } = wait.range_kPa;
    lines.push(`That is ${(lower + ((upper - lower) * final.value) / 100).toFixed(3)} kPa.`);
  }
  if (wait.said !== undefined) lines.push(`In the run itself: ${wait.said}.`);
  if (wait.truth !== undefined) {
    const { low, high, settles } = wait.truth;
    const off = final?.kind === "settled" ? Math.max(low - final.value, 0, final.value - high) : null;
    lines.push(
      settles
        ? `Truth of this made-up unit: it stands at ${low.toFixed(3)} to ${high.toFixed(3)} % of span from 60 s on${off === null ? "" : `; the reading is ${off.toFixed(4)} % of span off`}.`
        : "Truth of this made-up unit: it never settles.",
    );
  }
  return lines;
};

/** One wait for a terminal of `width` columns: the whole way, the end of it up close, and what the rule thought below. */
export const replayPlot = (shown: ShownWait, limit_percent: number, width = 80): readonly string[] => {
  const window = plotWindow(shown, limit_percent);
  const columns = columnsOf(window, Math.min(width, 160));
  const text = (line: string): readonly string[] => wrapped(line, "", Math.min(width, 110) - 1);
  return [
    "Output, % of span",
    ...panel(shown, window, window.whole, 9, columns, false),
    "",
    "The same near its end, % of span",
    ...panel(shown, window, window.near, 9, columns, true),
    ...timeAxis(window, columns),
    ...thoughts(window, columns),
    "",
    ...text(stretches(shown).join("; ")),
    ...text(
      "* shown to the rule  o averaged  . before the last command or after the verdict  ^ v beyond the near view  s left: seconds still expected  sure: confidence in tenths",
    ),
    "",
    ...verdictLines(shown).flatMap(text),
  ];
};
