import { smallestUAt } from "../../config/laboratory-file.ts";
import { kPa } from "../../vocabulary/quantities.ts";
import type { Block, Column } from "../block.ts";
import { ordinalRanges } from "../ordinal-ranges.ts";
import type { PressureTexts, RoundedPoint } from "../rounded-results.ts";
import { customerUnit, factorText, type SectionContext, type ShownStage } from "./section-context.ts";

interface ResultColumn extends Column {
  readonly of: (p: RoundedPoint) => string;
}

const columnsOf = (context: SectionContext, shown: ShownStage): readonly ResultColumn[] => {
  const { texts, print } = context;
  const number = (plain: string | null): string => (plain === null ? "–" : print.number(plain));
  const mode = texts.modes[context.input.unit.output.mode];
  const guarded = shown.result.verdict.rule.rule !== "simple";
  const outside = outsideScope(context, shown);
  const cycles = new Set(shown.rounded.points.map((p) => p.cycle)).size > 1;
  const decimal = (
    title: string,
    unit: string,
    weight: number,
    of: (p: RoundedPoint) => string | null,
  ): ResultColumn => ({ title, unit, align: "decimal", weight, of: (p) => number(of(p)) });
  const words = (
    title: string,
    align: "left" | "centre",
    weight: number,
    of: (p: RoundedPoint) => string,
  ): ResultColumn => ({ title, unit: null, align, weight, of });
  return [
    words(texts.point, "centre", 6, (p) => String(p.ordinal)),
    ...(cycles ? [words(texts.cycle, "centre", 7.5, (p) => String(p.cycle))] : []),
    words(texts.direction, "left", 12.5, (p) => texts.directions[p.direction]),
    decimal(texts.nominalCurrent, "mA", 11, (p) => p.nominal_mA),
    decimal(texts.appliedCurrent, "mA", 11.5, (p) => p.applied_mA),
    decimal(texts.ideal, `kPa ${mode}`, 11.5, (p) => p.in_kPa.ideal),
    decimal(texts.output, `kPa ${mode}`, 11.5, (p) => p.in_kPa.output),
    decimal(texts.error, "kPa", 9.5, (p) => p.in_kPa.error),
    decimal(texts.error, texts.ofSpan, 9.5, (p) => p.error_percent_span),
    {
      ...decimal("U", "kPa", 8, (p) => p.in_kPa.U),
      of: (p) => `${number(p.in_kPa.U)}${outside.has(p.ordinal) ? "‡" : ""}`,
    },
    decimal("k", "1", 6.5, (p) => p.k),
    decimal(texts.limit, "kPa", 8.5, (p) => p.in_kPa.limit),
    ...(guarded ? [decimal(texts.acceptance, "kPa", 12, (p: RoundedPoint) => p.in_kPa.acceptance)] : []),
    words(
      texts.verdict,
      "left",
      shown.result.verdict.rule.rule === "four-words" ? 15 : 10,
      (p) => texts.pointWords[p.word],
    ),
  ];
};

/**
 * Points that the laboratory's scope does not cover, or where U is smaller than it may claim; none where it states no
 * scope. Marked at the value, because a note alone is overlooked.
 */
const outsideScope = ({ input }: SectionContext, { result }: ShownStage): ReadonlySet<number> => {
  const { laboratory, unit } = input;
  if (laboratory.smallest_uncertainties.length === 0) return new Set();
  const outside = result.analysis.points.filter((p) => {
    const smallest = smallestUAt(laboratory, kPa(p.ideal_kPa), unit.output.mode);
    const U = result.uncertainties.find((u) => u.ordinal === p.ordinal)?.U_kPa;
    return smallest === null || (U !== undefined && U < smallest * (1 - 1e-9));
  });
  return new Set(outside.map((p) => p.ordinal));
};

/** More reasons than this would only repeat the table. */
const MOST_REASONS = 6;

const ordinals = (points: readonly RoundedPoint[]): string => ordinalRanges(points.map((p) => p.ordinal)).join(", ");

/** The main table: every result with its unit, its uncertainty and its verdict. */
export const resultsTable = (context: SectionContext, shown: ShownStage): Block => {
  const { texts, input } = context;
  const columns = columnsOf(context, shown);
  const points = shown.rounded.points;
  const notes = [texts.roundingNote];
  if (shown.result.analysis.points.some((p) => p.applied_from === "commanded")) notes.push(texts.commandedNote);
  const finer = points.filter((p) => p.more_digits);
  if (finer.length > 0) notes.push(texts.moreDigitsNote(ordinals(finer)));
  const told = shown.result.analysis.lift_off !== undefined;
  const lifted = points.filter((p) => told && p.clipped === "at-zero");
  if (lifted.length > 0) notes.push(texts.liftOffNote(ordinals(lifted)));
  const outside = outsideScope(context, shown);
  if (outside.size > 0) notes.push(texts.outsideScopeNote(ordinalRanges([...outside]).join(", ")));
  const clipped = points.filter((p) => p.clipped !== "none" && !lifted.includes(p));
  if (clipped.length > 0) notes.push(texts.clippedNote(ordinals(clipped)));
  const missing = input.record.stages.findLast((s) => s.stage === shown.stage)?.missing ?? [];
  if (missing.length > 0) notes.push(texts.noResult(ordinalRanges(missing.map((p) => p.ordinal)).join(", ")));
  const { reasons, keyed_reasons: keyed } = shown.result.verdict;
  const said = keyed === undefined ? reasons.map(texts.reason) : keyed.map(texts.verdictReason);
  notes.push(...said.slice(0, MOST_REASONS), ...reasons.slice(said.length, MOST_REASONS).map(texts.reason));
  if (reasons.length > MOST_REASONS) notes.push(texts.moreReasons(reasons.length - MOST_REASONS));
  return {
    kind: "table",
    caption: texts.resultsCaption(texts.modes[input.unit.output.mode]),
    columns: columns.map(({ of: _, ...column }) => column),
    rows: points.map((p) => ({
      cells: columns.map((c) => c.of(p)),
      strong: p.word === "fail" || p.word === "conditional-fail",
    })),
    notes,
  };
};

/** The same results in the unit in which the customer speaks; null when that is kPa. */
export const customerUnitTable = (context: SectionContext, shown: ShownStage): Block | null => {
  const { texts, print, input } = context;
  const symbol = customerUnit(input);
  if (symbol === "kPa") return null;
  const unit = print.unit(symbol);
  const mode = texts.modes[input.unit.output.mode];
  const columns: readonly {
    readonly title: string;
    readonly unit: string;
    readonly of: (t: PressureTexts) => string | null;
  }[] = [
    { title: texts.ideal, unit: `${unit} ${mode}`, of: (t) => t.ideal },
    { title: texts.output, unit: `${unit} ${mode}`, of: (t) => t.output },
    { title: texts.error, unit, of: (t) => t.error },
    { title: "U", unit, of: (t) => t.U },
    { title: texts.limit, unit, of: (t) => t.limit },
  ];
  return {
    kind: "table",
    caption: texts.resultsInUnit(unit),
    columns: [
      { title: texts.point, unit: null, align: "centre", weight: 8 },
      { title: texts.direction, unit: null, align: "left", weight: 14 },
      { title: texts.nominalCurrent, unit: "mA", align: "decimal", weight: 14 },
      ...columns.map((c) => ({ title: c.title, unit: c.unit, align: "decimal" as const, weight: 16 })),
    ],
    rows: shown.rounded.points.map((p) => ({
      cells: [
        String(p.ordinal),
        texts.directions[p.direction],
        print.number(p.nominal_mA),
        ...columns.map((c) => {
          const text = p.in_customer_unit === null ? null : c.of(p.in_customer_unit);
          return text === null ? "–" : print.number(text);
        }),
      ],
    })),
    notes: [texts.factor(unit, factorText(print, symbol))],
  };
};
