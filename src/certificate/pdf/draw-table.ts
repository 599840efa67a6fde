import type { Column, Row } from "../block.ts";
import { drawParagraph, rule } from "./draw-text.ts";
import type { PageFlow, StructElement, StructOptions } from "./page-flow.ts";
import { HAIR, INK, LINE, TEXT } from "./page-style.ts";

export interface TableData {
  readonly caption: string;
  readonly columns: readonly Column[];
  readonly rows: readonly Row[];
  readonly notes?: readonly string[];
}

const PAD = 3;

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

const layColumns = (flow: PageFlow, table: TableData): readonly Laid[] => {
  const total = table.columns.reduce((sum, c) => sum + c.weight, 0);
  let x = flow.left;
  return table.columns.map((column, i) => {
    const width = (flow.width * column.weight) / total;
    let whole = 0;
    let rest = 0;
    if (column.align === "decimal") {
      for (const row of table.rows) {
        const [before, after] = splitAtMark(row.cells[i] ?? "");
        const style = row.strong ? TEXT.cellStrong : TEXT.cell;
        whole = Math.max(whole, flow.widthOf(before, style));
        rest = Math.max(rest, flow.widthOf(after, style));
      }
    }
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

interface LaidCell {
  readonly lines: readonly string[];
}

const drawRow = (
  flow: PageFlow,
  parent: StructElement,
  table: TableData,
  laid: readonly Laid[],
  cells: readonly LaidCell[],
  row: Row,
  height: number,
): void => {
  const style = row.strong ? TEXT.cellStrong : TEXT.cell;
  const element = flow.doc.struct("TR");
  parent.add(element);
  for (const [i, column] of table.columns.entries()) {
    const place = laid[i];
    if (place === undefined) continue;
    const content = flow.doc.markStructureContent("TD");
    const text = row.cells[i] ?? "";
    if (column.align === "decimal" && text !== "") {
      const [before] = splitAtMark(text);
      const start = place.x + PAD + Math.max(0, (place.width - 2 * PAD - place.block) / 2);
      flow.line(text, start + place.whole - flow.widthOf(before, style), flow.y + 1, style);
    } else {
      for (const [n, line] of (cells[i]?.lines ?? []).entries()) {
        const slack = place.width - 2 * PAD - flow.widthOf(line, style);
        const x = place.x + PAD + (column.align === "centre" ? Math.max(0, slack / 2) : 0);
        flow.line(line, x, flow.y + 1 + n * style.leading, style);
      }
    }
    flow.doc.endMarkedContent();
    element.add(flow.doc.struct("TD", {}, [content]));
  }
  element.end();
  flow.y += height;
};

/** A table that runs over pages: its head is repeated, and a row is never parted. */
export const drawTable = (flow: PageFlow, parent: StructElement, table: TableData, continued: string): void => {
  const laid = layColumns(flow, table);
  const measured = table.rows.map((row) => {
    const style = row.strong ? TEXT.cellStrong : TEXT.cell;
    const cells = table.columns.map((column, i) => ({
      lines:
        column.align === "decimal"
          ? [row.cells[i] ?? ""]
          : flow.lines(row.cells[i] ?? "", (laid[i]?.width ?? 0) - 2 * PAD, style),
    }));
    return { row, cells, height: Math.max(...cells.map((c) => c.lines.length)) * style.leading + 3.4 };
  });
  flow.need(70 + (measured[0]?.height ?? 0));
  drawParagraph(flow, parent, table.caption, TEXT.caption, { after: 2.5 });
  const element = flow.doc.struct("Table");
  parent.add(element);
  drawHead(flow, element, table, laid, null);
  for (const [i, { row, cells, height }] of measured.entries()) {
    // The last two rows stay together, so that a page never begins with a single row.
    const group = i === measured.length - 2 ? height + (measured[i + 1]?.height ?? 0) : height;
    if (flow.room() < Math.min(group, flow.bodyHeight() / 2)) {
      rule(flow, flow.y, 0.5, LINE);
      flow.newPage();
      drawHead(flow, element, table, laid, continued);
    }
    drawRow(flow, element, table, laid, cells, row, height);
    rule(flow, flow.y - 0.6, 0.3, i === measured.length - 1 ? INK : HAIR);
  }
  element.end();
  flow.y += 3;
  for (const note of table.notes ?? []) drawParagraph(flow, parent, note, TEXT.note, { after: 1 });
  flow.y += 9;
};
