import type { Column, Row } from "../block.ts";
import { drawParagraph, rule } from "./draw-text.ts";
import type { PageFlow, StructElement, StructOptions } from "./page-flow.ts";
import { HAIR, INK, LINE, TEXT, type TextStyle } from "./page-style.ts";
import { parts } from "./wrap-lines.ts";

export interface TableData {
  readonly caption: string;
  readonly columns: readonly Column[];
  readonly rows: readonly Row[];
  readonly notes?: readonly string[];
}

const PAD = 3;
/** Points. A width that is just enough must not come out a hair too small when it has been added up. */
const SUM_NOISE = 0.05;
/** A caption and a head of three lines, with one row below it. */
const HEAD_ROOM = 70;

interface Laid {
  readonly x: number;
  readonly width: number;
  /** For decimal columns: room left of the mark, and of the whole block of digits. */
  readonly whole: number;
  readonly block: number;
}

/** A printed number in the part before its decimal mark and the rest. Grouping spaces stay where they are. */
const splitAtMark = (text: string): readonly [string, string] => {
  const at = text.search(/[.,]/u);
  return at < 0 ? [text, ""] : [text.slice(0, at), text.slice(at)];
};

const printedUnit = (column: Column): string | null => (typeof column.unit === "string" ? column.unit : null);

const cellStyle = (column: Column, row: Row): TextStyle => {
  if (row.strong) return TEXT.cellStrong;
  return column.small ? TEXT.cellSmall : TEXT.cell;
};

/** Room that the digits of a decimal column take left and right of the mark. */
const digitsOf = (flow: PageFlow, table: TableData, i: number): { readonly whole: number; readonly rest: number } => {
  let whole = 0;
  let rest = 0;
  const column = table.columns[i];
  if (column?.align !== "decimal") return { whole, rest };
  for (const row of table.rows) {
    const [before, after] = splitAtMark(row.cells[i] ?? "");
    const style = cellStyle(column, row);
    whole = Math.max(whole, flow.widthOf(before, style));
    rest = Math.max(rest, flow.widthOf(after, style));
  }
  return { whole, rest };
};

/** Narrowest width that cuts neither a number nor a word. */
const narrowest = (flow: PageFlow, table: TableData, i: number, digits: number): number => {
  const column = table.columns[i];
  if (column === undefined) return 0;
  let widest = digits;
  for (const part of parts(column.title)) widest = Math.max(widest, flow.widthOf(part, TEXT.tableHead));
  for (const part of parts(printedUnit(column) ?? "")) widest = Math.max(widest, flow.widthOf(part, TEXT.tableUnit));
  if (column.align === "decimal") return widest + 2 * PAD + SUM_NOISE;
  for (const row of table.rows) {
    const style = cellStyle(column, row);
    for (const part of parts(row.cells[i] ?? "")) widest = Math.max(widest, flow.widthOf(part, style));
  }
  return widest + 2 * PAD + SUM_NOISE;
};

/**
 * Widths by weight; a column whose longest number or word does not fit takes what it lacks from the others, as far as
 * they can spare it. What is still too wide is cut between characters.
 */
const layColumns = (flow: PageFlow, table: TableData): readonly Laid[] => {
  const total = table.columns.reduce((sum, c) => sum + c.weight, 0);
  const digits = table.columns.map((_, i) => digitsOf(flow, table, i));
  const wished = table.columns.map((c) => (flow.width * c.weight) / total);
  const needed = digits.map((d, i) => narrowest(flow, table, i, d.whole + d.rest));
  const lacking = wished.map((w, i) => Math.max(0, (needed[i] ?? 0) - w));
  const sparing = wished.map((w, i) => Math.max(0, w - (needed[i] ?? 0)));
  const lack = lacking.reduce((sum, l) => sum + l, 0);
  const spare = sparing.reduce((sum, s) => sum + s, 0);
  const moved = Math.min(lack, spare);
  let x = flow.left;
  return wished.map((w, i) => {
    const gain = lack === 0 ? 0 : (moved * (lacking[i] ?? 0)) / lack;
    const loss = spare === 0 ? 0 : (moved * (sparing[i] ?? 0)) / spare;
    const width = w + gain - loss;
    const { whole, rest } = digits[i] ?? { whole: 0, rest: 0 };
    const laid = { x, width, whole, block: whole + rest };
    x += width;
    return laid;
  });
};

const drawHead = (
  flow: PageFlow,
  parent: StructElement,
  table: TableData,
  laid: readonly Laid[],
  repeated: string | null,
): void => {
  const titles = table.columns.map((c, i) => flow.lines(c.title, (laid[i]?.width ?? 0) - 2 * PAD, TEXT.tableHead));
  const units = table.columns.map((c, i) =>
    flow.lines(printedUnit(c) ?? "", (laid[i]?.width ?? 0) - 2 * PAD, TEXT.tableUnit),
  );
  const titleHeight = Math.max(...titles.map((t) => t.length)) * TEXT.tableHead.leading;
  const unitHeight = table.columns.some((c) => printedUnit(c) !== null)
    ? Math.max(...units.map((t) => t.length)) * TEXT.tableUnit.leading
    : 0;
  if (repeated !== null) {
    const text = `${table.caption} (${repeated})`;
    flow.artifact(() => {
      for (const [n, line] of flow.lines(text, flow.width, TEXT.caption).entries()) {
        flow.line(line, flow.left, flow.y + n * TEXT.caption.leading, TEXT.caption);
      }
    });
    flow.y += flow.lines(text, flow.width, TEXT.caption).length * TEXT.caption.leading + 3;
  }
  rule(flow, flow.y, 0.9, INK);
  const top = flow.y + 3;
  // A repeated head is page furniture: whoever listens hears the head once.
  const row = repeated === null ? flow.doc.struct("TR") : null;
  if (row !== null) parent.add(row);
  const draw = (i: number): void => {
    const column = table.columns[i];
    const place = laid[i];
    if (column === undefined || place === undefined) return;
    const put = (lines: readonly string[], y: number, style: typeof TEXT.tableHead | typeof TEXT.tableUnit): void => {
      for (const [n, line] of lines.entries()) {
        const slack = place.width - 2 * PAD - flow.widthOf(line, style);
        const x = place.x + PAD + (column.align === "left" ? 0 : Math.max(0, slack / 2));
        flow.line(line, x, y + n * style.leading, style);
      }
    };
    put(titles[i] ?? [], top, TEXT.tableHead);
    if (printedUnit(column) !== null) put(units[i] ?? [], top + titleHeight, TEXT.tableUnit);
  };
  for (const i of table.columns.keys()) {
    if (row === null) {
      flow.artifact(() => draw(i));
      continue;
    }
    const content = flow.doc.markStructureContent("TH");
    draw(i);
    flow.doc.endMarkedContent();
    row.add(flow.doc.struct("TH", { scope: "Column" } as StructOptions, [content]));
  }
  row?.end();
  flow.y = top + titleHeight + unitHeight + 2;
  rule(flow, flow.y, 0.5, LINE);
  flow.y += 2;
};

interface LaidRow {
  readonly row: Row;
  /** Lines of each cell. */
  readonly cells: readonly (readonly string[])[];
}

const heightOf = (laid: LaidRow, table: TableData): number =>
  Math.max(...laid.cells.map((lines, i) => lines.length * (cellStyleAt(table, laid.row, i)?.leading ?? 0))) + 3.4;

const cellStyleAt = (table: TableData, row: Row, i: number): TextStyle | null => {
  const column = table.columns[i];
  return column === undefined ? null : cellStyle(column, row);
};

const drawRow = (
  flow: PageFlow,
  parent: StructElement,
  table: TableData,
  laid: readonly Laid[],
  { row, cells }: LaidRow,
): void => {
  const element = flow.doc.struct("TR");
  parent.add(element);
  for (const [i, column] of table.columns.entries()) {
    const place = laid[i];
    if (place === undefined) continue;
    const style = cellStyle(column, row);
    const content = flow.doc.markStructureContent("TD");
    for (const [n, line] of (cells[i] ?? []).entries()) {
      const slack = Math.max(
        0,
        place.width - 2 * PAD - (column.align === "decimal" ? place.block : flow.widthOf(line, style)),
      );
      const start = place.x + PAD + (column.align === "left" ? 0 : slack / 2);
      const [before] = splitAtMark(line);
      const x = column.align === "decimal" ? start + place.whole - flow.widthOf(before, style) : start;
      flow.line(line, x, flow.y + 1 + n * style.leading, style);
    }
    flow.doc.endMarkedContent();
    element.add(flow.doc.struct("TD", {}, [content]));
  }
  element.end();
  flow.y += heightOf({ row, cells }, table);
};

/** The first lines of a row that is taller than a page, and the rest of it. */
const cutRow = (laid: LaidRow, lines: number): readonly [LaidRow, LaidRow] => [
  { row: laid.row, cells: laid.cells.map((c) => c.slice(0, lines)) },
  { row: laid.row, cells: laid.cells.map((c) => c.slice(lines)) },
];

const layRows = (flow: PageFlow, table: TableData, laid: readonly Laid[]): readonly LaidRow[] =>
  table.rows.map(
    (row): LaidRow => ({
      row,
      cells: table.columns.map((column, i) =>
        column.align === "decimal"
          ? [row.cells[i] ?? ""]
          : flow.lines(row.cells[i] ?? "", (laid[i]?.width ?? 0) - 2 * PAD, cellStyle(column, row)),
      ),
    }),
  );

/** Room for the beginning of a table: caption, head and first row, or as much of it as a page can hold. */
export const tableBeginning = (flow: PageFlow, table: TableData): number => {
  const [first] = layRows(flow, { ...table, rows: table.rows.slice(0, 1) }, layColumns(flow, table));
  const tallest = flow.bodyHeight() - HEAD_ROOM;
  return HEAD_ROOM + Math.min(first === undefined ? 0 : heightOf(first, table), tallest);
};

/** A table that runs over pages: its head is repeated, and a row is parted only when no page could hold it. */
export const drawTable = (flow: PageFlow, parent: StructElement, table: TableData, continued: string): void => {
  const laid = layColumns(flow, table);
  const rows = layRows(flow, table, laid);
  const tallest = flow.bodyHeight() - HEAD_ROOM;
  flow.need(tableBeginning(flow, table));
  const [note] = table.notes ?? [];
  const noteHeight = note === undefined ? 0 : flow.lines(note, flow.width, TEXT.note).length * TEXT.note.leading + 4;
  drawParagraph(flow, parent, table.caption, TEXT.caption, { after: 2.5 });
  const element = flow.doc.struct("Table");
  parent.add(element);
  drawHead(flow, element, table, laid, null);
  const turn = (): void => {
    rule(flow, flow.y, 0.5, LINE);
    flow.newPage();
    drawHead(flow, element, table, laid, continued);
  };
  for (const [i, whole] of rows.entries()) {
    let row = whole;
    while (heightOf(row, table) > tallest) {
      const lines = Math.floor((flow.room() - 8) / TEXT.cell.leading);
      if (lines < 3) {
        turn();
        continue;
      }
      const [now, rest] = cutRow(row, lines);
      drawRow(flow, element, table, laid, now);
      turn();
      row = rest;
    }
    // The last two rows stay together and with the first note, so that a page begins neither with a single row nor a note.
    const next = i === rows.length - 2 ? rows[i + 1] : undefined;
    const last = i >= rows.length - 2 ? noteHeight : 0;
    const together = heightOf(row, table) + (next === undefined ? 0 : heightOf(next, table)) + last;
    if (flow.room() < (together > tallest ? heightOf(row, table) : together)) turn();
    drawRow(flow, element, table, laid, row);
    rule(flow, flow.y - 0.6, 0.3, i === rows.length - 1 ? INK : HAIR);
  }
  element.end();
  flow.y += 3;
  for (const note of table.notes ?? []) drawParagraph(flow, parent, note, TEXT.note, { after: 1 });
  flow.y += 9;
};
